import { describe, expect, it } from "vitest";
import { type NameValue, readConditions } from "../../../src/advise/sweep/expression.js";
import { OptionError } from "../../../src/advise/sweep/option-error.js";

const KIB = 8 * 1024;

/** Invented for this test. */
const VALUES: Readonly<Record<string, NameValue>> = {
  "l1d.size": 16 * KIB,
  "l1d.ways": 4,
  "l1d.line": 512,
  "l1d.lane": null,
  "l1d.replacement": "tree-plru",
  "l1d.in": ["EBR", "LUT"],
  "l1d.read_only": false,
  "dish-a.depth": 10,
  "dish-a.width": 3,
  clock: 100,
  blocks: 7.5,
  "blocks.EBR": 7.5,
  efficiency: 0.75,
  fits: true,
};
const RESULTS = ["blocks", "blocks.EBR", "efficiency", "fits"];
const NAMES = {
  inputs: new Set(Object.keys(VALUES).filter((name) => !RESULTS.includes(name))),
  results: new Set(RESULTS),
};

function holds(text: string): boolean {
  return readConditions(text, NAMES).every((condition) => condition.holds((name) => VALUES[name]!));
}

describe("a condition", () => {
  it.each([
    ["l1d.size == 16 KiB", true],
    ["l1d.size == 16KiB && l1d.ways < 4", false],
    ["l1d.size / l1d.ways <= 4 KiB", true],
    ["l1d.size == 131072", true],
    ["l1d.size / (l1d.ways * l1d.line) == 64", true],
    ["l1d.ways % 3 == 1", true],
    ["l1d.ways-1 == 3", true],
    ["-l1d.ways == -4", true],
    ["0x10 == l1d.ways * 4", true],
    ["clock >= 100 MHz && clock < 0.2 GHz", true],
    ["l1d.replacement == 'tree-plru'", true],
    ['l1d.replacement in ["lru", "fifo"]', false],
    ["l1d.replacement.startsWith('tree')", true],
    ["'EBR' in l1d.in", true],
    ["l1d.ways in [1, 2, 4]", true],
    ["l1d.lane == null", true],
    ["!l1d.read_only", true],
    ["dish-a.depth-dish-a.width == 7", true],
    ["fits && blocks.EBR <= 7.5 && efficiency > 0.5", true],
    ["blocks < 7 || fits", true],
    ["(fits ? blocks : 0) == 7.5", true],
    ["'l1d.nothing' != l1d.replacement", true],
    ["1e2 == clock", true],
  ])("%s", (text, expected) => {
    expect(holds(text)).toBe(expected);
  });

  it("is judged before packing where it asks for inputs alone, part by part", () => {
    const parts = (text: string) =>
      readConditions(text, NAMES).map(({ text: part, usesResults }) => [part, usesResults]);
    expect(parts("l1d.ways == 4 && blocks < 9 && ('a&&b' != 'c' && true)")).toEqual([
      ["l1d.ways == 4", false],
      ["blocks < 9", true],
      ["('a&&b' != 'c' && true)", false],
    ]);
    expect(parts("l1d.ways == 4 && blocks < 9 || fits")).toEqual([
      ["l1d.ways == 4 && blocks < 9 || fits", true],
    ]);
  });

  it.each([
    ["l1d.wayz == 4", '--where "l1d.wayz == 4": "l1d.wayz" is no name here; did you mean "l1d.ways"?'],
    [
      "blocks.EBRR < 4",
      '--where "blocks.EBRR < 4": "blocks.EBRR" is no name here; did you mean "blocks.EBR"?',
    ],
    ["l1d.size == 16 KiBs", '--where "l1d.size == 16 KiBs": "16 KiBs" is no size or clock'],
    ["l1d.ways ==", '--where "l1d.ways ==": Unexpected token: EOF'],
    ["l1d.ways", '--where "l1d.ways": expected true or false, found 4'],
    ["l1d.lane > 8", '--where "l1d.lane > 8": no such overload: dyn<null> > double'],
  ])("%s is refused with the reason", (text, message) => {
    expect(() => holds(text)).toThrow(message);
    expect(() => holds(text)).toThrow(OptionError);
  });

  it.each([
    "process.exit(1)",
    "constructor.constructor('return 1')()",
    "globalThis == null",
    "v0 == 1",
    "[].map(x, x)",
  ])("reaches nothing else: %s", (text) => {
    expect(() => holds(text)).toThrow(OptionError);
  });
});
