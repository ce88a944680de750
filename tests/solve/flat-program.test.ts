import { expect, it } from "vitest";
import { flatProgram } from "../../src/solve/flat-program.js";

it("a program as flat arrays has each variable of a row once, and no limit where there is none", () => {
  const flat = flatProgram({
    variables: [
      { name: "a", objective: 3, upper: null },
      { name: "b", objective: 0, upper: 2, follows: true },
    ],
    rows: [
      {
        name: "twice",
        terms: [
          { variable: 1, coefficient: 1 },
          { variable: 0, coefficient: 5 },
          { variable: 1, coefficient: 2 },
        ],
        lower: 4,
        upper: null,
      },
      { name: "empty", terms: [], lower: null, upper: 7 },
      { name: "again", terms: [{ variable: 1, coefficient: -1 }], lower: -1, upper: -1 },
    ],
  });
  expect(flat).toEqual({
    objective: Float64Array.of(3, 0),
    upper: Float64Array.of(Number.POSITIVE_INFINITY, 2),
    follows: Uint8Array.of(0, 1),
    rowLower: Float64Array.of(4, Number.NEGATIVE_INFINITY, -1),
    rowUpper: Float64Array.of(Number.POSITIVE_INFINITY, 7, -1),
    starts: Int32Array.of(0, 2, 2, 3),
    variables: Int32Array.of(1, 0, 1),
    coefficients: Float64Array.of(3, 5, -1),
  });
});
