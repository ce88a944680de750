import { describe, expect, test } from "vitest";
import { readDevices } from "../../src/input/device.js";
import type { Diagnostic } from "../../src/input/diagnostics.js";
import { positionOf } from "../../src/input/print.js";
import { changed, FORM, GOOD, RULES } from "./bad-device-files.js";

function diagnostics(text: string): readonly Diagnostic[] {
  const read = readDevices({ file: "bad.yaml", text });
  return read.ok ? [] : read.diagnostics;
}

test("the text that the cases change is right", () => {
  expect(diagnostics(GOOD)).toEqual([]);
});

describe.each([
  ["form", FORM],
  ["rules", RULES],
])("%s", (_, cases) => {
  test.each(cases)("%j -> %j", (from, to, code, place, message) => {
    const text = changed(from, to);
    const found = diagnostics(text).map((d) => {
      const at = d.range === null ? null : positionOf(text, d.range.start);
      return { code: d.code, place: at === null ? "-" : `${at.line}:${at.column}`, message: d.message };
    });
    expect(found).toContainEqual({ code, place, message: expect.stringContaining(message) });
  });
});

test("a pool that no block takes from", () => {
  const text = changed("    pool: SMALL", "    pool: RAM");
  const [first, ...rest] = diagnostics(text);
  expect(rest).toEqual([]);
  expect(first).toMatchObject({ code: "device-rule", message: "no block kind takes from pool SMALL" });
  expect(positionOf(text, first?.range?.start ?? 0)).toEqual({ line: 6, column: 13 });
});

test("all problems are gathered, each with its own place", () => {
  const text = changed("[16x4]", "[16x5]").replace("lut_memory: 100", "lut_memory: 501");
  expect(diagnostics(text).map((d) => text.slice(d.range?.start, d.range?.end))).toEqual(["16x5", "501"]);
});

test("what is left out takes the careful value", () => {
  const read = readDevices({ file: "good.yaml", text: GOOD });
  if (!read.ok) throw new Error("not read");
  const small = read.devices[0]?.blocks[1];
  expect(small).toEqual({
    name: "SMALL",
    pool: "SMALL",
    units: 1,
    bits: 64,
    shapes: {
      single: [{ depth: 16, width: 4, family: "binary", lanes: [] }],
      "simple-dual": [],
      "true-dual": [],
    },
    mixedWidths: { "simple-dual": false, "true-dual": false },
    fixedSideWidths: [],
    asynchronousRead: false,
    initialContents: false,
    clocks: 1,
    outputRegister: "none",
    readDuringWrite: { samePort: ["undefined"], otherPort: ["undefined"] },
    maxClockMHz: null,
    freeCascade: [],
  });
  expect(read.devices[1]).toMatchObject({ part: "second", lutMemory: { name: "LUTRAM", count: null } });
});
