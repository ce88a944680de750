import { expect, test } from "vitest";
import { checkAgainstDevice, type DesignRead, readDesign } from "../../src/input/index.js";
import type { Device } from "../../src/model/index.js";
import { heads } from "./heads.js";

/** An invented device with two pools; only the names and counts of the pools matter here. */
const device: Device = {
  name: "own",
  family: "own",
  part: "own",
  blocks: [],
  pools: [
    { name: "SMALL", blocks: 20, unitsPerBlock: 1 },
    { name: "LARGE", blocks: 4, unitsPerBlock: 2 },
  ],
  lutMemory: null,
  logic: { unit: "LUT4", inputs: 4, count: 1000, multiplexers: [] },
};

function read(...lines: string[]): DesignRead {
  const result = readDesign({ file: "d.yaml", text: ["design: d", ...lines, ""].join("\n") });
  if (!result.ok) throw new Error(JSON.stringify(result.diagnostics));
  return result;
}

function check(...lines: string[]): string[] {
  const design = read(...lines);
  return heads(design.source, checkAgainstDevice(design, device));
}

const MEMORIES = "memories: [{name: a, depth: 8, width: 8, ports: 1r1w}]";

test("names that the device has pass", () => {
  const lines = [
    "available: {SMALL: 20, LARGE: 0, LUT: 50}",
    "weights: {LARGE: 3}",
    "memories: [{name: a, depth: 8, width: 8, ports: 1r1w, in: [SMALL, LUT, registers]}]",
  ];
  expect(check(...lines)).toEqual([]);
});

test("each name that it does not have is an error at the name", () => {
  const lines = [
    "available: {SMAL: 2}",
    "weights: {LUT: 3}",
    "memories:",
    "  - {name: a, depth: 8, width: 8, ports: 1r1w, in: [SMALL, register]}",
    "  - {name: b, depth: 8, width: 8, ports: 1r1w, in: URAM}",
  ];
  expect(check(...lines)).toEqual([
    'd.yaml:2:13: error: available: own has no "SMAL"; did you mean "SMALL"?',
    'd.yaml:3:11: error: weights: own has no "LUT"; it has: SMALL, LARGE',
    'd.yaml:5:60: error: in: own has no "register"; did you mean "registers"?',
    'd.yaml:6:52: error: in: own has no "URAM"; it has: SMALL, LARGE, LUT, registers',
  ]);
});

test("a home of a structure is reported once, however many memories it has", () => {
  const cache = "{kind: cache, name: l1, size: 4 KiB, ways: 2, line: 64 B, address: 32, in: LARG}";
  expect(check(`structures: [${cache}]`)).toEqual([
    'd.yaml:2:89: error: in: own has no "LARG"; did you mean "LARGE"?',
  ]);
});

test("more blocks than the part has is a warning", () => {
  expect(check("available: {LARGE: 5}", MEMORIES)).toEqual([
    "d.yaml:2:13: warning: available: own has 4 blocks of LARGE, found 5",
  ]);
});
