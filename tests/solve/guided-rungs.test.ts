import { describe, expect, it } from "vitest";
import { isNarrowing, type Raised, type Rung, rungsUpTo } from "../../src/solve/guided-rungs.js";

/** A stage in which a value lets in so many columns; the bound of those is the stage's own. */
function stage(columnsAt: (value: number) => number): Raised {
  return {
    unit: 10,
    step: 1,
    bound: 100,
    within: (value) => ({ bound: 100, columns: new Set(Array(columnsAt(value)).keys()) }),
  };
}

/** All values, where the best in hand is never better than at first; `bettered`: what that comes to where it is asked for. */
function all(raised: Raised, most: number, bettered = most): { rungs: Rung[]; asked: number; end: number } {
  const rungs: Rung[] = [];
  const generator = rungsUpTo(raised, () => most);
  let asked = 0;
  for (let next = generator.next(); ; ) {
    if (next.done) return { rungs, asked, end: next.value };
    if (next.value === null) {
      asked += 1;
      next = generator.next(bettered);
      continue;
    }
    rungs.push(next.value);
    next = generator.next();
  }
}

describe("the values up to which a stage is solved", () => {
  it("rise twofold from half a unit above the bound, up to the best in hand", () => {
    const { rungs, asked, end } = all(
      stage(() => 10),
      200,
    );
    expect(rungs.map(({ value }) => value)).toEqual([105, 116, 137, 178, 200]);
    expect(rungs.map(({ isLast }) => isLast)).toEqual([false, false, false, false, true]);
    expect([asked, end]).toEqual([0, 200]);
  });

  it("end at what was bettered before the second one with many columns", () => {
    const { rungs, asked } = all(
      stage(() => 1000),
      200,
      150,
    );
    expect(asked).toBe(1);
    expect(rungs.map(({ value }) => value)).toEqual([105, 116, 150]);
  });

  it("end where nothing is in hand and all columns have been in: that there is no solution is told by one run", () => {
    const none = Number.POSITIVE_INFINITY;
    const many = all(
      stage((value) => Math.min(1000, 50 * (value - 95))),
      none,
    );
    expect(many.rungs.map(({ value, columns }) => [value, columns.size])).toEqual([
      [105, 500],
      [116, 1000],
    ]);
    expect(many.end).toBe(117);
    const few = all(
      stage(() => 30),
      none,
    );
    expect(few.rungs).toHaveLength(12);
  });

  it("are worth raising where the first lets in fewer than four fifths of the columns of the best in hand", () => {
    const rising = stage((value) => 10 * (value - 100));
    // 50 columns up to 105, against 60 and 70.
    expect([106, 107].map((most) => isNarrowing(rising, most))).toEqual([false, true]);
    const same = stage(() => 1000);
    expect(isNarrowing(same, 200)).toBe(false);
  });
});
