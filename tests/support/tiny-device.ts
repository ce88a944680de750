import type { Arrangement, BlockKind, BlockShape, Device } from "../../src/model/index.js";

/** Invented blocks of a few bits, so that exhaustive search can keep up. */
export function tinyKind(
  name: string,
  bits: number,
  shapes: readonly (readonly [number, number, string])[],
  arrangements: readonly Arrangement[] = ["single", "simple-dual", "true-dual"],
): BlockKind {
  const list: BlockShape[] = shapes.map(([depth, width, family]) => ({ depth, width, family, lanes: [] }));
  const of = (arrangement: Arrangement) => (arrangements.includes(arrangement) ? list : []);
  return {
    name,
    bits,
    shapes: { single: of("single"), "simple-dual": of("simple-dual"), "true-dual": of("true-dual") },
    mixedWidths: { "simple-dual": true, "true-dual": true },
    fixedSideWidths: [],
    asynchronousRead: false,
    initialContents: true,
    clocks: 2,
    outputRegister: "optional",
    readDuringWrite: { samePort: ["new"], otherPort: ["undefined"] },
    maxClockMHz: null,
    pool: name,
    units: 1,
    freeCascade: [],
  };
}

/** A device of the given kinds, with as many blocks of each as told and plenty of logic. */
export function tinyDevice(kinds: readonly BlockKind[], counts: readonly number[]): Device {
  return {
    name: "tiny",
    family: "invented",
    part: "tiny",
    blocks: kinds,
    pools: kinds.map((kind, index) => ({ name: kind.name, blocks: counts[index]!, unitsPerBlock: 1 })),
    lutMemory: null,
    logic: {
      unit: "LUT4",
      inputs: 4,
      count: 1_000_000,
      multiplexers: [
        { inputs: 2, luts: 1, levels: 1 },
        { inputs: 4, luts: 2, levels: 2 },
      ],
    },
  };
}

/** 18 bits, of which the power-of-two widths reach 16. */
export const NINTHS = tinyKind("N", 18, [
  [16, 1, "binary"],
  [8, 2, "binary"],
  [4, 4, "binary"],
  [2, 9, "ninth"],
]);

/** 32 bits in power-of-two widths. */
export const BINARY = tinyKind("B", 32, [
  [32, 1, "binary"],
  [16, 2, "binary"],
  [8, 4, "binary"],
  [4, 8, "binary"],
]);
