import fc from "fast-check";
import { expect, it } from "vitest";
import { overlaps, touched } from "../../../src/advise/reshape/change.js";
import { reach } from "../../../src/advise/reshape/reach.js";

it("finds the last number that holds, in few questions", async () => {
  await fc.assert(
    fc.asyncProperty(fc.nat(5000), fc.integer({ min: 1, max: 5000 }), async (last, most) => {
      let asked = 0;
      const found = await reach(async (steps) => {
        asked += 1;
        expect(steps).toBeLessThanOrEqual(most);
        return steps <= last;
      }, most);
      expect(found).toBe(Math.min(last, most));
      expect(asked).toBeLessThanOrEqual(2 * Math.ceil(Math.log2(most + 1)) + 2);
    }),
  );
});

it.each([
  ["l1d", "l1d.ways", true],
  ["l1d.ways", "l1d", true],
  ["l1d.ways", "l1d.ways", true],
  ["l1d.ways", "l1d.way", false],
  ["l1", "l1d.ways", false],
  ["l1d.tables.count", "l1d.tables", true],
])("%s and %s: one place inside the other is %s", (a, b, answer) => {
  expect(overlaps(a, b)).toBe(answer);
});

it("a new entry touches no place", () => {
  const edits = [
    { path: "a.depth", value: 4 },
    { list: "memories" as const, entry: { name: "b" } },
  ];
  expect(touched({ edits })).toEqual(["a.depth"]);
});
