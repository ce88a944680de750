import { expect } from "vitest";
import type { DiagnosticCode } from "../../src/input/diagnostics.js";

// Invented device; line numbers of the cases below count in this text.
export const GOOD = `family: test
sources:
  BOOK: { document: a book, mark: read }
pools:
  - { name: RAM, units: 2 }
  - { name: SMALL }
blocks:
  - name: RAM
    pool: RAM
    units: 2
    bits: { value: 2048, source: BOOK }
    shapes:
      - { shapes: [256x8, 128x16], family: binary, arrangements: [single, simple-dual, true-dual] }
      - { shapes: [64x32], family: binary, arrangements: [simple-dual] }
    lanes:
      - { widths: [16, 32], lanes: [8] }
    mixed_widths: { simple-dual: true, true-dual: true }
    fixed_side: { widths: [32] }
    clocks: 2
    free_cascade:
      - { shape: 256x8, blocks: 2 }
  - name: SMALL
    pool: SMALL
    bits: 64
    shapes:
      - { shapes: [16x4], family: binary, arrangements: [single] }
lut_memory:
  name: LUTRAM
  shapes:
    - { shapes: [16x2], arrangements: [single], luts: 2 }
logic:
  unit: LUT4
  inputs: 4
  multiplexers:
    - { inputs: 2, luts: 1, levels: 1 }
    - { inputs: 4, luts: 2, levels: 2 }
parts:
  - name: first
    blocks: [{ pool: RAM, count: 4 }, { pool: SMALL, count: 0 }]
    logic: 500
    lut_memory: 100
  - name: second
    blocks: [{ pool: RAM, count: 8 }, { pool: SMALL, count: 9 }]
    logic: { value: 900, source: [BOOK] }
`;

/** A change of the good text, and one of the diagnostics of it; the place to change is there once. */
export type Case = [from: string, to: string, code: DiagnosticCode, place: string, message: string];

export const FORM: Case[] = [
  ["family: test\n", "", "missing-key", "1:1", "family is missing"],
  ["family: test", "family: test\ncolour: red", "unknown-key", "2:1", 'unknown key "colour"'],
  ["    clocks: 2", "    clock: 2", "unknown-key", "19:5", 'did you mean "clocks"?'],
  ["    clocks: 2", "    clocks: 3", "wrong-type", "19:13", "blocks[0].clocks"],
  ["bits: 64", "bits: 0", "wrong-value", "24:11", "expected at least 1, found 0"],
  ["bits: 64", "bits: many", "wrong-type", "24:11", "blocks[1].bits"],
  ["value: 2048,", "valu: 2048,", "unknown-key", "11:13", 'did you mean "value"?'],
  ["value: 2048", "value: 20.5", "wrong-type", "11:20", "expected a whole number, found 20.5"],
  ["[16x4]", "[16by4]", "wrong-value", "26:20", "expected a shape of words x bits such as 1024x18"],
  ["[16x4]", "[16x0]", "wrong-value", "26:20", 'found "16x0"'],
  ["[16x4]", "[1x9999]", "wrong-value", "26:20", "at most 1024 bits wide"],
  ["[16x4]", "[]", "wrong-value", "26:19", "at least 1"],
  [
    "[single, simple-dual, true-dual]",
    "[single, simple_dual]",
    "unknown-name",
    "13:75",
    'did you mean "simple-dual"?',
  ],
  ["mark: read", "mark: guessed", "unknown-name", "3:35", "read, memory, estimate or invented"],
  ["logic: 500", "logic: -1", "wrong-value", "40:12", "expected at least 1, found -1"],
  ["count: 9", "count: -9", "wrong-value", "43:61", "expected at least 0, found -9"],
  ["name: second", "name: Second Part", "wrong-value", "42:11", "lower-case"],
  ["    clocks: 2", "    clocks: 2\n    clocks: 1", "duplicate-key", "20:5", '"clocks" stands twice'],
  ["pools:\n", "pools: [\n", "yaml-syntax", "5:3", "not allowed"],
  [
    "  BOOK: { document: a book, mark: read }",
    "  BOOK: { document: a book, mark: read, page: 3 }",
    "unknown-key",
    "3:41",
    'sources.BOOK: unknown key "page"',
  ],
  ["name: RAM, units: 2 }", "name: RAM, unit: 2 }", "unknown-key", "5:18", 'did you mean "units"?'],
  [
    "shapes: [256x8, 128x16], family",
    "shape: [256x8, 128x16], family",
    "unknown-key",
    "13:11",
    'did you mean "shapes"?',
  ],
  ["widths: [16, 32], lanes", "width: [16, 32], lanes", "unknown-key", "16:11", 'did you mean "widths"?'],
  ["true-dual: true }", "true_dual: true }", "unknown-key", "17:40", 'did you mean "true-dual"?'],
  ["fixed_side: { widths", "fixed_side: { width", "unknown-key", "18:19", 'did you mean "widths"?'],
  ["shape: 256x8, blocks", "shape: 256x8, block", "unknown-key", "21:25", 'did you mean "blocks"?'],
  [
    "arrangements: [single], luts: 2",
    "arrangements: [single], lut: 2",
    "unknown-key",
    "30:49",
    'did you mean "luts"?',
  ],
  ["  unit: LUT4", "  units: LUT4", "unknown-key", "32:3", 'did you mean "unit"?'],
  [
    "inputs: 2, luts: 1, levels",
    "inputs: 2, luts: 1, level",
    "unknown-key",
    "35:29",
    'did you mean "levels"?',
  ],
  ["logic: 500", "logics: 500", "unknown-key", "40:5", 'did you mean "logic"?'],
  ["pool: RAM, count: 4", "pool: RAM, counts: 4", "unknown-key", "39:27", 'did you mean "count"?'],
  ["bits: 64", "bits: .nan", "not-finite", "24:11", "expected a finite number, found .nan"],
  ["bits: 64", "bits: 9007199254740993", "wrong-value", "24:11", "expected at most"],
  ["bits: 64", "bits: 64 bits", "wrong-type", "24:11", "blocks[1].bits"],
  ["count: 9", "count: 9007199254740992", "wrong-value", "43:61", "expected at most"],
  ["count: 9", "count: *nine", "bad-alias", "43:61", "alias *nine names no anchor"],
  ["family: test", "family: test\ninclude: other.yaml", "unknown-key", "2:1", 'unknown key "include"'],
  ["family: test", "family: !include other.yaml", "yaml-syntax", "1:9", "expected no tag, found !include"],
];

export const RULES: Case[] = [
  ["name: SMALL }", "name: SMALL }\n  - { name: RAM, units: 2 }", "duplicate-name", "7:13", "two pools"],
  ["  - name: SMALL\n", "  - name: RAM\n", "duplicate-name", "22:11", "two block kinds have the name RAM"],
  ["name: second", "name: first", "duplicate-name", "42:11", "two parts have the name first"],
  ["    pool: SMALL", "    pool: SMAL", "unknown-name", "23:11", 'did you mean "SMALL"?'],
  ["name: SMALL }", "name: SMALL }\n  - { name: LUT }", "device-rule", "7:13", "stands for logic"],
  ["    units: 2", "    units: 3", "device-rule", "10:12", "takes 3 units, a block of pool RAM has 2"],
  ["[16x4]", "[16x5]", "device-rule", "26:20", "16x5 has 80 bits, SMALL holds 64"],
  ["[64x32]", "[128x16, 64x32]", "device-rule", "14:20", "128x16 is listed twice as simple-dual"],
  ["[64x32]", "[64x20, 64x32]", "device-rule", "14:20", "multiples of each other, found 8 and 20"],
  [
    "simple-dual: true, true-dual: true }",
    "simple-dual: true, true-dual: true }\n    max_clock_mhz: 0",
    "wrong-value",
    "18:20",
    "expected more than 0, found 0",
  ],
  ["lanes: [8]", "lanes: [12]", "device-rule", "16:37", "found 12 of 16 bits"],
  ["lanes: [8]", "lanes: [16]", "device-rule", "16:37", "must be narrower than the word"],
  ["widths: [16, 32]", "widths: [16, 24]", "device-rule", "16:24", "RAM has no shape 24 bits wide"],
  ["widths: [16, 32]", "widths: [16, 16]", "device-rule", "16:24", "lanes of width 16 are listed twice"],
  ["fixed_side: { widths: [32] }", "fixed_side: { widths: [64] }", "device-rule", "18:28", "64 bits wide"],
  ["{ shape: 256x8,", "{ shape: 512x4,", "device-rule", "21:18", "RAM has no shape 512x4"],
  [
    "arrangements: [single] }\nlut_memory",
    "arrangements: [single] }\n    mixed_widths: { simple-dual: false, true-dual: true }\nlut_memory",
    "device-rule",
    "27:52",
    "two true-dual shapes of one family",
  ],
  [
    "[64x32], family: binary, arrangements: [simple-dual]",
    "[64x32], family: binary, arrangements: [simple-dual]}\n      - {shapes: [32x64], family: b, arrangements: [true-dual]",
    "device-rule",
    "15:19",
    "32x64 is wider than the widest simple-dual shape (32 bits)",
  ],
  ["[16x2]", "[16x2, 16x2]", "device-rule", "30:24", "16x2 is listed twice as single"],
  ["{ inputs: 4, luts: 2", "{ inputs: 2, luts: 2", "device-rule", "36:17", "found 2 after 2"],
  [
    "{ pool: RAM, count: 4 }, { pool: SMALL, count: 0 }",
    "{ pool: RAM, count: 4 }",
    "device-rule",
    "39:13",
    "first does not count pool SMALL",
  ],
  [
    "{ pool: SMALL, count: 0 }",
    "{ pool: RAM, count: 1 }, { pool: SMALL, count: 0 }",
    "device-rule",
    "39:47",
    "counts pool RAM twice",
  ],
  [
    "{ pool: SMALL, count: 9 }",
    "{ pool: SMALL, count: 9 }, { pool: BIG, count: 9 }",
    "unknown-name",
    "43:74",
    'no pool has the name "BIG"; pools: RAM, SMALL',
  ],
  ["lut_memory: 100", "lut_memory: 501", "device-rule", "41:17", "501 of 500 logic units"],
  [
    "lut_memory:\n  name: LUTRAM\n  shapes:\n    - { shapes: [16x2], arrangements: [single], luts: 2 }\n",
    "",
    "device-rule",
    "37:17",
    "the family has no LUT memory",
  ],
  ["source: [BOOK]", "source: [BOOK, BOK]", "unknown-name", "44:41", 'did you mean "BOOK"?'],
  ["2048, source: BOOK", "2048, source: PAPER", "unknown-name", "11:34", 'no source has the key "PAPER"'],
];

/** The good text with one place changed; the place must be there once. */
export function changed(from: string, to: string): string {
  expect(GOOD.split(from).length, `"${from}" stands once`).toBe(2);
  return GOOD.replace(from, () => to);
}
