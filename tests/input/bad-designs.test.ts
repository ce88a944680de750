import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readDesign } from "../../src/input/index.js";
import { follows } from "../support/json-schema.js";
import { BAD_DESIGNS } from "./bad-designs/index.js";
import { heads } from "./heads.js";

describe.each(Object.entries(BAD_DESIGNS))("%s", (_, cases) => {
  test.each(cases.map(([what, text, ...expected]) => ({ what, text, expected })))(
    "$what",
    ({ text, expected }) => {
      const source = { file: "d.yaml", text };
      const read = readDesign(source);
      expect(read.ok ? ["no error"] : heads(source, read.diagnostics)).toEqual(
        expected.map((e) => `d.yaml${e}`),
      );
    },
    60_000,
  );
});

/** What JSON Schema has no form for: it is told in the descriptions. */
const BEYOND_JSON_SCHEMA = [
  /expected a name of its own/,
  /expected a lane|expected no lane|expected at most the width/,
  /expected 1 for a memory of one port/,
  /expected true for a memory with/,
  /expected no pump|expected the key "(?:pump|clock)"/,
  /side|times a power of two|found both|members to divide|group "/,
  /expected memories or structures/,
  /a clock such as "100 MHz", found "0 MHz"/,
  /expected at most 10,000 memories|bits, found more from here on|x: instances/,
];

describe("a reader of JSON Schema", () => {
  const takes = follows("design");
  const { form, groups, structures, limits, "a memory": memory } = BAD_DESIGNS;
  const cases = [...form, ...memory, ...groups, ...structures, ...limits];

  test.each(cases.map(([what, text, ...expected]) => ({ what, text, expected })))(
    "refuses what has a form there: $what",
    ({ text, expected }) => {
      const beyond = expected.every((line) => BEYOND_JSON_SCHEMA.some((words) => words.test(line)));
      expect(takes(parse(text))).toBe(beyond);
    },
  );
});
