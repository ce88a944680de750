import { describe, expect, test } from "vitest";
import { readDesign } from "../../src/input/index.js";
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
