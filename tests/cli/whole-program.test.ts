import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ramtailor } from "./run-command.js";

/**
 * The whole program on designs that slipped: none may end it with a fault of its own, with a plan that the checker refuses
 * (which is such a fault), or leave a file behind. `npm run fuzz` makes ten times as many cases.
 */

const CASES = Number(process.env.RAMTAILOR_CASES ?? 2000);

const DESIGNS = new URL("../../designs/", import.meta.url);

/** Small invented designs, so that most cases get as far as a plan. */
const SMALL = [
  `design: small
device: up5k
clock: 48 MHz
available: { EBR: 20, LUT: 2000 }
small: { lut_depth: 32, register_bits: 256 }
memories:
  - { name: a, depth: 300, width: 20, ports: 1r1w, instances: 2 }
  - { name: b, depth: 100, width: 33, ports: 1rw, lane: 8, max_cascade: 4 }
  - { name: c, depth: 64, width: 8, ports: 1rw, exclusive: g, in: [EBR] }
  - { name: d, depth: 90, width: 9, ports: 1rw, exclusive: g }
`,
  `design: shared
device: ecp5-25f
clock: 100 MHz
weights: { EBR: 2 }
memories:
  - name: t
    depth: 400
    width: 18
    ports: 1rw
    instances: 3
  - { name: u, depth: 128, width: 22, ports: 1r1w, lockstep: { group: w, members: 2 }, instances: 2 }
  - { name: v, depth: 128, width: 3, ports: 1r1w, lockstep: w }
  - { name: p, depth: 512, width: 16, ports: 2r1w, pump: 2 }
  - { name: f, depth: 32, width: 16, ports: 2r2w, read: async, realisation: registers }
structures:
  - { kind: fifo, name: q, depth: 64, width: 36, clocks: 2 }
`,
  `design: caches
device: xc7z020
clock: 120 MHz
structures:
  - { kind: cache, name: l1, size: 4 KiB, ways: 2, line: 32 B, address: 32, access: 32, lane: 8, replacement: lru }
  - { kind: tlb, name: t, entries: 64, ways: 4, mode: sv39, address: 38, asid: 8 }
  - { kind: register-file, name: x, entries: 32, width: 32, reads: 2, writes: 1 }
  - { kind: direction-predictor, name: g, scheme: global-history, history: 8 }
  - { kind: branch-target-buffer, name: b, entries: 64, address: 32, target: 20, tag: 8 }
  - { kind: return-stack, name: r, entries: 8, width: 32 }
  - { kind: line-buffer, name: l, pixels: 320, width: 8, taps: 3 }
  - { kind: rom, name: boot, size: 1 KiB, width: 32 }
  - { kind: scratchpad, name: s, size: 2 KiB, width: 32, lane: 8 }
`,
];

const SHIPPED = readdirSync(DESIGNS)
  .filter((name) => name.endsWith(".yaml"))
  .map((name) => readFileSync(new URL(name, DESIGNS), "utf8"));

const VALUES = [
  ...["0", "1", "2", "3", "4", "7", "8", "9", "16", "31", "33", "64", "100", "512", "1000", "4096", "65536"],
  ...[
    "-1",
    "1.5",
    "1e3",
    "1e308",
    ".nan",
    ".inf",
    "-.inf",
    "0x20",
    "9007199254740993",
    "99999999999999999999",
  ],
  ...["16 KiB", "3 KB", "1 B", "33 bits", "0 B", "1 TiB", "2 MHz", "900 MHz", "1e9 MHz", "12 parsecs"],
  ...[
    "null",
    "~",
    "true",
    "no",
    "''",
    "[]",
    "{}",
    "[1, 2]",
    "{ a: 1 }",
    "*nowhere",
    "&x 3",
    "!!binary aa",
    "|",
  ],
  ...[
    "async",
    "sync",
    "1r",
    "1rw",
    "2rw",
    "3r1w",
    "2r2w",
    "4r4w",
    "9r9w",
    "0r0w",
    "lru",
    "virtual",
    "sv48",
    "full",
  ],
  ...["EBR", "LUT", "registers", "SPRAM", "BRAM36", "URAM", "up5k", "ecp5-85f", "generic-10k", "xczu7ev"],
  ...["a", "b", "g", "__proto__", "constructor", "toString", "\u202e", "\u0000", "😀", "x".repeat(300)],
];

type Slip =
  | { readonly sort: "value"; readonly at: number; readonly value: string }
  | { readonly sort: "line"; readonly at: number; readonly to: number | null }
  | { readonly sort: "cut"; readonly at: number }
  | { readonly sort: "text"; readonly at: number; readonly remove: number; readonly insert: string };

const share = fc.double({ min: 0, max: 1, noNaN: true });

const slip: fc.Arbitrary<Slip> = fc.oneof(
  {
    weight: 12,
    arbitrary: fc.record({ sort: fc.constant("value"), at: share, value: fc.constantFrom(...VALUES) }),
  },
  { weight: 2, arbitrary: fc.record({ sort: fc.constant("line"), at: share, to: fc.option(share) }) },
  { weight: 1, arbitrary: fc.record({ sort: fc.constant("cut"), at: share }) },
  {
    weight: 2,
    arbitrary: fc.record({
      sort: fc.constant("text"),
      at: share,
      remove: fc.nat({ max: 6 }),
      insert: fc.oneof(
        fc.string({ maxLength: 6 }),
        fc.constantFrom("\t", "\r\n", "- ", ": ", "{", "]", "#", "\ufeff"),
      ),
    }),
  },
);

/** The text after one slip. */
function slipped(text: string, change: Slip): string {
  switch (change.sort) {
    case "value": {
      // What stands after a colon: a word, a number with its unit, or the start of a list.
      const places = [...text.matchAll(/: +([^\s,{}[\]#]+(?: [KMG]i?[B]|(?: MHz| bits| B))?)/g)];
      if (places.length === 0) return text;
      const place = places[Math.floor(change.at * (places.length - 1))]!;
      const from = place.index + place[0].length - place[1]!.length;
      return text.slice(0, from) + change.value + text.slice(from + place[1]!.length);
    }
    case "line": {
      const lines = text.split("\n");
      const [line = ""] = lines.splice(Math.floor(change.at * (lines.length - 1)), 1);
      if (change.to !== null) lines.splice(Math.floor(change.to * lines.length), 0, line, line);
      return lines.join("\n");
    }
    case "cut":
      return text.slice(0, Math.floor(change.at * text.length));
    case "text": {
      const at = Math.floor(change.at * text.length);
      return text.slice(0, at) + change.insert + text.slice(at + change.remove);
    }
  }
}

const COMMANDS: readonly (readonly [weight: number, words: readonly string[]])[] = [
  [8, ["pack", "--json"]],
  [6, ["pack"]],
  [3, ["derive"]],
  [2, ["derive", "--json"]],
  [3, ["check", "--max-waste", "60%", "--max-luts", "900"]],
  [1, ["pack", "--device", "up5k"]],
  [1, ["pack", "--device", "10ax115", "--engine", "javascript-lp-solver"]],
];

const texts = fc.record({
  text: fc.oneof(
    { weight: 8, arbitrary: fc.constantFrom(...SMALL) },
    { weight: 1, arbitrary: fc.constantFrom(...SHIPPED) },
    { weight: 1, arbitrary: fc.string({ maxLength: 200 }) },
  ),
  slips: fc.array(slip, { minLength: 1, maxLength: 3 }),
  words: fc.oneof(...COMMANDS.map(([weight, words]) => ({ weight, arbitrary: fc.constant(words) }))),
});

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "slips-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("a design with slips", () => {
  it("gives a plan or diagnostics, and never a fault", async () => {
    const exits = new Map<number, number>();
    await fc.assert(
      fc.asyncProperty(texts, async ({ text, slips, words }) => {
        const design = slips.reduce(slipped, text);
        writeFileSync(join(folder, "design.yaml"), design);
        const [command = "", ...rest] = words;
        const deadline = command === "derive" ? [] : ["--deadline", "0.5"];
        const line = [command, "design.yaml", ...rest, ...deadline].join(" ");
        const { exit, stdout, stderr } = await ramtailor(line, { cwd: folder });
        exits.set(exit, (exits.get(exit) ?? 0) + 1);
        const context = `${line}\n${design}\n${stderr.slice(0, 500)}`;
        expect([0, 1, 2], context).toContain(exit);
        if (exit === 2 && !rest.includes("--json")) {
          expect(stdout, context).toBe("");
          expect(stderr, context).toMatch(/\S/);
        }
        if (exit !== 2) expect(stderr, context).not.toMatch(/\bat \S+ \(.*:\d+:\d+\)/);
        if (rest.includes("--json")) JSON.parse(stdout);
        expect(readdirSync(folder), context).toEqual(["design.yaml"]);
      }),
      { numRuns: CASES },
    );
    // The cases reach plans that fit, plans that do not, and diagnostics.
    expect([...exits.keys()].sort()).toEqual([0, 1, 2]);
  }, 3_600_000);
});
