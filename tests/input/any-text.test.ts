import fc from "fast-check";
import { expect, test } from "vitest";
import { printDiagnostics, readDesign } from "../../src/input/index.js";

const GOOD = `design: weather
device: own
clock: 100 MHz
available: { EBR: 190, LUT: 100 }
memories:
  - { name: log, depth: 3000, width: 20, ports: 1r1w, instances: 2, lockstep: { group: g, members: 2 } }
  - &m { name: box, depth: 512, width: 64, ports: 2rw, lane: 8, in: [EBR] }
structures:
  - { kind: cache, name: l1d, size: 16 KiB, ways: 4, line: 64 B, address: 38, refill: 128 }
  - { kind: register-file, name: x, entries: 32, width: 64, reads: 2, writes: 1 }
`;

/** What an edit may put into the text. */
const SCRAPS = [
  ...[
    "\n",
    " ",
    "\t",
    ":",
    ": ",
    "- ",
    "? ",
    ",",
    "[",
    "]",
    "{",
    "}",
    "#",
    "&m ",
    "*m",
    "<<: *m",
    "!t ",
    "%",
    "|\n",
    ">\n",
  ],
  ...[
    "'",
    '"',
    "\\",
    "---\n",
    "...\n",
    "0",
    "-1",
    "1e9",
    "99999999999999999999",
    ".inf",
    ".nan",
    "0x10",
    "null",
    "~",
  ],
  ...[
    "depth",
    "ports",
    "group",
    "__proto__",
    "toString",
    "1r",
    "2w1r",
    "async",
    "exclusive: g",
    "\u0000",
    "\ud800",
    "é",
  ],
];

interface Edit {
  readonly at: number;
  readonly remove: number;
  readonly insert: string;
}

const edit: fc.Arbitrary<Edit> = fc.record({
  at: fc.nat({ max: GOOD.length }),
  remove: fc.oneof(fc.constant(0), fc.nat({ max: 12 })),
  insert: fc.oneof(fc.constantFrom(...SCRAPS), fc.string({ maxLength: 6 })),
});

const mutated = fc
  .array(edit, { minLength: 1, maxLength: 4 })
  .map((edits) =>
    edits.reduce(
      (text, { at, remove, insert }) => text.slice(0, at) + insert + text.slice(at + remove),
      GOOD,
    ),
  );

const scraps = fc
  .array(fc.constantFrom(...SCRAPS, ...GOOD.split(/(?<=[ \n])/)), { maxLength: 60 })
  .map((s) => s.join(""));

const json = fc
  .jsonValue()
  .map((value) => JSON.stringify({ design: "d", memories: value, structures: value }));

/** Either a design, or errors whose ranges lie in the text and that print. */
function holds(text: string): void {
  const source = { file: "d.yaml", text };
  const read = readDesign(source);
  if (read.ok) {
    expect(read.design.requests.length).toBeGreaterThan(0);
    return;
  }
  expect(read.diagnostics.length).toBeGreaterThan(0);
  for (const { range, severity } of read.diagnostics) {
    expect(severity).toBe("error");
    if (range === null) continue;
    expect(range.start).toBeGreaterThanOrEqual(0);
    expect(range.end).toBeGreaterThan(range.start);
    expect(range.start).toBeLessThanOrEqual(text.length);
  }
  expect(printDiagnostics(source, read.diagnostics)).toContain("error: ");
}

test("the text that is mutated here is good", () => {
  expect(readDesign({ file: "d.yaml", text: GOOD }).ok).toBe(true);
});

test("a good text with slips gives a design or diagnostics", () => {
  fc.assert(fc.property(mutated, holds), { numRuns: 600 });
}, 120_000);

test("scraps of YAML give a design or diagnostics", () => {
  fc.assert(fc.property(scraps, holds), { numRuns: 300 });
}, 120_000);

test("any text gives a design or diagnostics", () => {
  fc.assert(fc.property(fc.string({ unit: "binary", maxLength: 200 }), holds), { numRuns: 300 });
}, 120_000);

test("any JSON in the place of the entries gives a design or diagnostics", () => {
  fc.assert(fc.property(json, holds), { numRuns: 300 });
}, 120_000);
