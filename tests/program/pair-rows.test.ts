import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { pairRows } from "../../src/program/pair-rows.js";
import { halvesAt, tellingThresholds } from "../../src/program/share-rows.js";
import { fewestBlocks } from "./matchings.js";

/** Blocks of `cells`, extents that fragments may have in them, and how many of each there are. */
const drawn = fc.integer({ min: 2, max: 24 }).chain((cells) =>
  fc.record({
    cells: fc.constant(cells),
    fragments: fc.array(
      fc.record({ extent: fc.integer({ min: 1, max: cells }), count: fc.integer({ min: 0, max: 2 }) }),
      { minLength: 1, maxLength: 8 },
    ),
  }),
);

type Drawn = typeof drawn extends fc.Arbitrary<infer T> ? T : never;

/** The least blocks that the rows allow for items of variables 1, 2, ..., each with one fragment; variable 0 counts blocks. */
function leastBlocks({ cells, fragments }: Drawn): number {
  const holders = fragments.map(({ extent }, place) => ({
    variable: place + 1,
    extents: [extent],
    times: 1,
  }));
  const first = fragments.length + 1;
  const { rows } = pairRows("0", holders, cells, 0, first, () => 2);
  const values = [0, ...fragments.map(({ count }) => count)];
  let blocks = 0;
  for (const { terms, lower, upper } of rows) {
    const open = terms.filter(({ variable }) => variable === 0 || values[variable] === undefined);
    expect(open).toHaveLength(1);
    const [{ variable, coefficient }] = open as [(typeof open)[number]];
    const sum = terms.reduce(
      (total, term) => total + (term.variable === variable ? 0 : term.coefficient * values[term.variable]!),
      0,
    );
    expect(lower).toBe(0);
    if (variable === 0) {
      expect([coefficient, upper]).toEqual([2, null]);
      blocks = Math.max(blocks, Math.ceil(-sum / 2));
    } else {
      expect([coefficient, upper]).toEqual([-1, 0]);
      values[variable] = sum;
    }
  }
  return blocks;
}

describe("the pairing bound as rows", () => {
  it("lets in what trying every matching gives, and no fewer, whatever of the extents is in use", () => {
    let unused = 0;
    fc.assert(
      fc.property(drawn, (each) => {
        const extents = each.fragments.flatMap(({ extent, count }) =>
          Array.from({ length: count }, () => extent),
        );
        if (extents.length > 12) return;
        if (each.fragments.some(({ count }) => count === 0)) unused += 1;
        expect(leastBlocks(each)).toBe(fewestBlocks(extents, each.cells));
      }),
      { numRuns: 1000 },
    );
    expect(unused).toBeGreaterThan(200);
  });

  it("has no row that says no more than another", () => {
    fc.assert(
      fc.property(drawn, ({ cells, fragments }) => {
        const extents = fragments.map(({ extent }) => extent);
        const telling = tellingThresholds(extents, cells);
        expect(telling.length).toBeGreaterThan(0);
        for (const a of telling) {
          for (const b of telling) {
            if (a === b) continue;
            const isMore = extents.some((extent) => halvesAt(extent, a, cells) > halvesAt(extent, b, cells));
            expect(isMore).toBe(true);
          }
        }
      }),
      { numRuns: 500 },
    );
  });

  it("needs one row where all fragments are small, and one where all are large", () => {
    expect(tellingThresholds([1, 2, 3, 4], 8)).toHaveLength(1);
    expect(tellingThresholds([5, 6, 7, 8], 8)).toHaveLength(1);
    // 2 shares with 6 and 3 does not: what 6 and 3 ask for together, and what 2 asks for besides.
    expect(tellingThresholds([2, 3, 6], 8)).toEqual([2, 3]);
  });
});
