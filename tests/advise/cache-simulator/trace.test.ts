import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { ACCESS_KINDS } from "../../../src/advise/cache-simulator/geometry.js";
import { readTrace } from "../../../src/advise/cache-simulator/read-trace.js";
import { hitRate, simulateTrace } from "../../../src/advise/cache-simulator/simulate.js";
import { TraceError } from "../../../src/advise/cache-simulator/trace-error.js";
import { TraceLines } from "../../../src/advise/cache-simulator/trace-lines.js";
import { type Access, geometry } from "./accesses.js";

const folder = mkdtempSync(join(tmpdir(), "ramtailor-trace-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** Accesses of a text that comes in these chunks. */
function accessesOf(chunks: readonly Uint8Array[]): Access[] {
  const found: Access[] = [];
  const lines = new TraceLines("trace.csv", (batch) => {
    for (let i = 0; i < batch.length; i++) {
      const address = (BigInt(batch.high[i]!) << 32n) | BigInt(batch.low[i]!);
      found.push({ kind: ACCESS_KINDS[batch.kinds[i]!]!, address });
    }
  });
  for (const chunk of chunks) lines.push(chunk);
  lines.end();
  return found;
}

function placeOf(text: string): unknown[] {
  try {
    accessesOf([Buffer.from(text)]);
  } catch (error) {
    if (error instanceof TraceError) return [error.file, error.line, error.column, error.message];
    throw error;
  }
  return [];
}

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
}

describe("a trace", () => {
  it("has decimal and hexadecimal addresses, and may have a header, blank lines, spaces and CRLF", () => {
    const text =
      "\ufeff\r\nkind,address\r\n\r\nfetch,0x1F\nread , 31\n\n  write,0XFFFFFFFFFFFFFFFF \t\r\nread,18446744073709551615";
    const top = 2n ** 64n - 1n;
    expect(accessesOf([Buffer.from(text)])).toEqual([
      { kind: "fetch", address: 31n },
      { kind: "read", address: 31n },
      { kind: "write", address: top },
      { kind: "read", address: top },
    ]);
  });

  it("reads the same in whatever chunks it comes", () => {
    const line = fc.record({
      kind: fc.constantFrom(...ACCESS_KINDS),
      address: fc.bigInt({ min: 0n, max: 2n ** 64n - 1n }),
      hex: fc.boolean(),
      end: fc.constantFrom("\n", "\r\n", "\n\n"),
    });
    fc.assert(
      fc.property(
        fc.array(line, { minLength: 1, maxLength: 30 }),
        fc.array(fc.nat(900)),
        fc.boolean(),
        (list, cuts, header) => {
          const body = list.map(
            ({ kind, address, hex, end }) => `${kind},${hex ? `0x${address.toString(16)}` : address}${end}`,
          );
          const bytes = Buffer.from((header ? "kind,address\n" : "") + body.join(""));
          const places = [0, ...cuts.sort((a, b) => a - b), bytes.length];
          const chunks = places.slice(1).map((to, i) => bytes.subarray(places[i], to));
          expect(accessesOf(chunks)).toEqual(list.map(({ kind, address }) => ({ kind, address })));
        },
      ),
    );
  });

  it.each<[string, number, number, string]>([
    ["fetch,1\nfetsch,2\n", 2, 1, 'expected fetch, read or write, found "fetsch,2"'],
    ["fetch,1\nkind,address\n", 2, 1, 'expected fetch, read or write, found "kind,address"'],
    ["read 5", 1, 6, 'expected a comma after read, found "5"'],
    ["reads,5", 1, 5, 'expected a comma after read, found "s,5"'],
    ["\n\nwrite,", 3, 7, "expected an address in decimal or after 0x, found nothing"],
    ["write,0x\n", 1, 7, 'expected an address in decimal or after 0x, found "0x"'],
    ["write,-1\n", 1, 7, 'expected an address in decimal or after 0x, found "-1"'],
    ["read,12f\n", 1, 8, 'expected the end of the line, found "f"'],
    ["read,12,4\n", 1, 8, 'expected the end of the line, found ",4"'],
    [
      "read,0x10000000000000000\n",
      1,
      6,
      'expected an address of at most 64 bits, found "0x10000000000000000"',
    ],
    [
      "read,18446744073709551616\n",
      1,
      6,
      'expected an address of at most 64 bits, found "18446744073709551616"',
    ],
    [`read,1\n${"x".repeat(2000)}`, 2, 1, "expected a line of at most 1000 bytes, found a longer one"],
  ])("of another form is refused with its place: %#", (text, line, column, message) => {
    expect(placeOf(text)).toEqual(["trace.csv", line, column, message]);
  });

  it("is streamed from a plain file and from gzip under any name, with the same counts", async () => {
    const text = Array.from({ length: 200_000 }, (_, i) => `${ACCESS_KINDS[i % 3]},${(i * 64) % 8192}\n`);
    const plain = file("plain.csv", text.join(""));
    const packed = file("packed.csv", gzipSync(text.join("")));
    const caches = [2, 1].map((ways) => ({ geometry: geometry({ sets: 64, lineBytes: 64, ways }) }));
    const one = await simulateTrace(plain, "plain.csv", caches);
    expect(await simulateTrace(packed, "packed.csv", caches)).toEqual(one);
    expect(one.accesses).toEqual({ fetch: 66_667, read: 66_667, write: 66_666 });
    // 128 lines come round in order: they fit in two ways of 64 sets, and take turns in one.
    expect(one.caches.map(({ misses }) => misses)).toEqual([128, 200_000]);
    expect(one.caches.map(hitRate)).toEqual([1 - 128 / 200_000, 0]);
  });

  it("gives a cache only the kinds that it sees", async () => {
    const path = file("kinds.csv", "fetch,0\nread,0\nwrite,0\nwrite,0\n");
    const { caches } = await simulateTrace(path, path, [
      { geometry: geometry({ sees: ["fetch"] }) },
      { geometry: geometry({ sees: ["read", "write"] }) },
    ]);
    expect(caches.map(({ accesses, misses }) => [accesses, misses])).toEqual([
      [1, 1],
      [3, 1],
    ]);
  });

  it("that cannot be read is refused by name", async () => {
    const read = (path: string) => readTrace(path, "given.csv", () => {});
    const none = join(folder, "none.csv");
    await expect(read(none)).rejects.toMatchObject({ file: "given.csv", message: "no such file" });
    await expect(read(folder)).rejects.toMatchObject({ message: "expected a file, found a directory" });
    await expect(read(file("empty.csv", "kind,address\n"))).rejects.toMatchObject({
      message: "expected at least one access, found none",
    });
    const packed = gzipSync(Buffer.from("read,1\n".repeat(10_000)));
    await expect(read(file("torn.csv.gz", packed.subarray(0, 40)))).rejects.toBeInstanceOf(TraceError);
  });

  it("stops at a signal", async () => {
    const path = file("long.csv", "read,1\n".repeat(500_000));
    await expect(readTrace(path, path, () => {}, AbortSignal.abort())).rejects.toMatchObject({
      name: "AbortError",
    });
  });
});
