import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, describe, expect, it } from "vitest";
import { simulatedCache } from "../../../src/advise/cache-simulator/cache.js";
import {
  ACCESS_KINDS,
  type AccessKind,
  type CacheGeometry,
  geometryKey,
} from "../../../src/advise/cache-simulator/geometry.js";
import { simulateTrace } from "../../../src/advise/cache-simulator/simulate.js";
import { REPLACEMENTS } from "../../../src/structures/index.js";
import { type Access, batchOf, geometry, hitsOf, readsOf } from "./accesses.js";

const folder = mkdtempSync(join(tmpdir(), "ramtailor-model-"));
afterAll(() => rmSync(folder, { recursive: true }));

interface Line {
  readonly address: bigint;
  readonly way: number;
  readonly broughtIn: number;
  used: number;
  dirty: boolean;
}

/** The way a tree of bits points to, worked out anew from the order of uses: a node points away from its later half. */
function treeVictim(lines: readonly Line[], first: number, count: number): number {
  if (count === 1) return first;
  const lower = Math.ceil(count / 2);
  const latest = (from: number, n: number) =>
    Math.max(...lines.filter(({ way }) => way >= from && way < from + n).map(({ used }) => used));
  return latest(first, lower) > latest(first + lower, count - lower)
    ? treeVictim(lines, first + lower, count - lower)
    : treeVictim(lines, first, lower);
}

/** An access that one cache passes on to the next. */
interface Passed extends Access {
  readonly bytes: number;
  /** The access of the trace that it comes from. */
  readonly from: number;
}

/** The plainest model that can be written: a list of lines a set. */
function bruteForce(cache: CacheGeometry, accesses: readonly (Access & Partial<Passed>)[]) {
  const sets = new Map<bigint, Line[]>();
  const misses = { fetch: 0, read: 0, write: 0 };
  const passed: Passed[] = [];
  const size = BigInt(cache.lineBytes);
  let hits = 0;
  let writeBacks = 0;
  let time = 0;
  const touch = (kind: AccessKind, address: bigint, from: number) => {
    time += 1;
    const line = address / size;
    const set = line % BigInt(cache.sets);
    const lines = sets.get(set) ?? [];
    sets.set(set, lines);
    let found = lines.find((each) => each.address === line);
    const through = kind === "write" && !cache.writeAllocate;
    if (through) passed.push({ kind, address, bytes: 1, from });
    if (found === undefined) {
      misses[kind] += 1;
      if (through) return;
      let way = lines.length;
      if (lines.length === cache.ways) {
        if (cache.replacement === "tree-plru") way = treeVictim(lines, 0, cache.ways);
        else {
          const by = cache.replacement === "fifo" ? "broughtIn" : "used";
          way = lines.reduce((a, b) => (b[by] < a[by] ? b : a)).way;
        }
        const [gone] = lines.splice(
          lines.findIndex((each) => each.way === way),
          1,
        );
        if (gone!.dirty) {
          writeBacks += 1;
          passed.push({ kind: "write", address: gone!.address * size, bytes: cache.lineBytes, from });
        }
      }
      passed.push({
        kind: kind === "fetch" ? "fetch" : "read",
        address: line * size,
        bytes: cache.lineBytes,
        from,
      });
      found = { address: line, way, broughtIn: time, used: time, dirty: false };
      lines.push(found);
    } else {
      hits += 1;
    }
    found.used = time;
    if (kind === "write" && cache.writeAllocate) found.dirty = true;
  };
  accesses.forEach(({ kind, address, bytes = 1, from }, index) => {
    if (!cache.sees.includes(kind)) return;
    for (let offset = 0; offset < bytes; offset += cache.lineBytes) {
      touch(kind, address + BigInt(offset), from ?? index);
    }
  });
  return { counts: { hits, missesOf: misses, writeBacks }, passed };
}

/** Addresses that meet again: few lines, some of them above 2^32. */
const access = fc.record({
  kind: fc.constantFrom(...ACCESS_KINDS),
  address: fc
    .tuple(fc.integer({ min: 0, max: 300 }), fc.constantFrom(0n, 2n ** 32n, 0xffff_ffc0_0000_0000n))
    .map(([low, high]) => high + BigInt(low)),
});
const shape = {
  sets: fc.constantFrom(1, 2, 4, 16),
  ways: fc.constantFrom(1, 2, 3, 4, 5, 8),
  lineBytes: fc.constantFrom(1, 4, 16, 64),
  writeAllocate: fc.boolean(),
  sees: fc.subarray([...ACCESS_KINDS], { minLength: 1 }),
};

describe("the simulator", () => {
  it("agrees with a brute-force model", () => {
    const replacement = fc.constantFrom("lru", "tree-plru", "fifo");
    fc.assert(
      fc.property(
        fc.record({ ...shape, replacement }),
        fc.array(access, { maxLength: 200 }),
        (cache, accesses) => {
          const simulated = simulatedCache(cache);
          simulated.run(batchOf(accesses));
          expect(simulated.counts()).toMatchObject(bruteForce(cache, accesses).counts);
        },
      ),
      { numRuns: 300 },
    );
  });

  it("agrees with it on caches behind caches", async () => {
    const path = join(folder, "trace.csv");
    const cache = fc.record({ ...shape, replacement: fc.constantFrom("lru", "tree-plru", "fifo") });
    await fc.assert(
      fc.asyncProperty(
        fc.tuple(cache, cache, cache, cache),
        fc.array(access, { minLength: 1, maxLength: 120 }),
        async ([first, second, third, fourth], accesses) => {
          writeFileSync(path, accesses.map(({ kind, address }) => `${kind},${address}\n`).join(""));
          const { caches } = await simulateTrace(path, path, [
            { geometry: first },
            { geometry: second },
            { geometry: third, behind: [0, 1] },
            { geometry: fourth, behind: [2] },
          ]);
          const fronts = [first, second].map((each) => bruteForce(each, accesses));
          const both = fronts.flatMap(({ passed }) => passed).toSorted((a, b) => a.from - b.from);
          const behind = bruteForce(third, both);
          const last = bruteForce(fourth, behind.passed);
          expect(caches).toMatchObject([...fronts, behind, last].map(({ counts }) => counts));
        },
      ),
      { numRuns: 150 },
    );
  });

  it("keeps the inclusion property of LRU: what hits in n ways hits in n + 1", () => {
    // Mattson, Gecsei, Slutz & Traiger, "Evaluation techniques for storage hierarchies", IBM Systems Journal 9(2), 1970.
    fc.assert(
      fc.property(
        fc.record({ ...shape, writeAllocate: fc.constant(true) }),
        fc.array(access, { maxLength: 100 }),
        (cache, accesses) => {
          const few = hitsOf({ ...cache, replacement: "lru" }, accesses);
          const more = hitsOf({ ...cache, replacement: "lru", ways: cache.ways + 1 }, accesses);
          expect(few.filter((hit, i) => hit && !more[i])).toEqual([]);
        },
      ),
    );
  });

  it("is not bound to it with fifo, so the property can fail", () => {
    const accesses = readsOf([1, 2, 3, 4, 1, 2, 5, 1, 2, 3, 4, 5], 4);
    const few = hitsOf(geometry({ ways: 3, replacement: "fifo" }), accesses);
    const more = hitsOf(geometry({ ways: 4, replacement: "fifo" }), accesses);
    expect(few.some((hit, i) => hit && !more[i])).toBe(true);
  });

  it("with random choice repeats itself, and keeps lines that fit", () => {
    fc.assert(
      fc.property(fc.record(shape), fc.array(access, { maxLength: 200 }), (cache, accesses) => {
        const counts = () => {
          const simulated = simulatedCache({ ...cache, replacement: "random" });
          simulated.run(batchOf(accesses));
          return simulated.counts();
        };
        expect(counts()).toEqual(counts());
      }),
    );
    const rounds = Array.from({ length: 20 }, () => [0, 1, 2, 3]).flat();
    const hits = hitsOf(geometry({ ways: 4, replacement: "random" }), readsOf(rounds, 4));
    expect(hits.filter((hit) => !hit)).toHaveLength(4);
  });

  it("with random choice replaces every way", () => {
    const misses = Array.from({ length: 400 }, (_, line) => line);
    const kept = readsOf([...misses, ...misses.slice(0, 4)], 4);
    const hits = hitsOf(geometry({ ways: 4, replacement: "random" }), kept);
    expect(hits.filter(Boolean)).toEqual([]);
  });

  it("refuses a cache that does not say how it replaces, and numbers that are none of a cache", () => {
    expect(() => simulatedCache(geometry({ ways: 2, replacement: "none" }))).toThrow(RangeError);
    expect(() => simulatedCache(geometry({ ways: 1, replacement: "none" }))).not.toThrow();
    expect(() => simulatedCache(geometry({ sets: 3 }))).toThrow(RangeError);
    expect(() => simulatedCache(geometry({ ways: 0 }))).toThrow(RangeError);
  });

  it("has one key for geometries that behave alike", () => {
    const keys = REPLACEMENTS.map((replacement) => geometryKey(geometry({ ways: 4, replacement })));
    expect(new Set(keys).size).toBe(REPLACEMENTS.length - 2);
    expect(
      new Set(REPLACEMENTS.map((replacement) => geometryKey(geometry({ ways: 1, replacement })))).size,
    ).toBe(1);
    expect(geometryKey(geometry({ sees: ["read"] }))).not.toBe(geometryKey(geometry({ sees: ["write"] })));
  });
});
