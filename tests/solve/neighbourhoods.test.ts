import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Neighbourhoods } from "../../src/solve/neighbourhoods.js";
import type { Ties } from "../../src/solve/ties.js";

const KEYS = ["a", "b", "c"];

/** Invented ties: up to 12 owners with up to 4 variables each, variables that count patterns, and some that count neither. */
const drawn = fc.record({
  owners: fc.array(fc.array(fc.subarray(KEYS), { minLength: 1, maxLength: 4 }), {
    minLength: 1,
    maxLength: 12,
  }),
  patterns: fc.array(fc.constantFrom(...KEYS), { maxLength: 6 }),
  others: fc.nat(3),
});

type Drawn = typeof drawn extends fc.Arbitrary<infer T> ? T : never;

function tiesOf({ owners, patterns, others }: Drawn): Ties {
  const own = owners.flatMap((variables, owner) => variables.map((keys) => ({ owner: `m${owner}`, keys })));
  const counts = [...patterns.map((key) => [key]), ...Array.from({ length: others }, () => [])];
  return {
    owners: [...own.map(({ owner }) => owner), ...counts.map(() => null)],
    keys: [...own.map(({ keys }) => keys), ...counts],
  };
}

describe("a neighbourhood", () => {
  it("has all that the solution uses, and anew only what may be better, of a fifth of the owners that have a choice", () => {
    let smaller = 0;
    fc.assert(
      fc.property(
        drawn,
        fc.infiniteStream(fc.nat(2)),
        fc.infiniteStream(fc.boolean()),
        (from, uses, isOpen) => {
          const ties = tiesOf(from);
          const x = ties.owners.map(() => uses.next().value);
          const open = ties.owners.map(() => isOpen.next().value);
          const neighbourhoods = new Neighbourhoods(ties);
          for (let turn = 0; turn < 3; turn++) {
            const found = neighbourhoods.next(x, (variable) => open[variable]!);
            const openOf = new Map<string, number>();
            ties.owners.forEach((owner, variable) => {
              if (owner !== null && open[variable]) openOf.set(owner, (openOf.get(owner) ?? 0) + 1);
            });
            const withChoice = [...openOf.values()].filter((count) => count > 1).length;
            const most = Math.max(3, Math.round(withChoice / 5));
            expect(found === null).toBe(withChoice <= most);
            if (found === null) continue;
            smaller += 1;
            expect(found).toEqual([...found].sort((a, b) => a - b));
            const has = new Set(found);
            x.forEach((items, variable) => {
              if (items > 0) expect(has.has(variable)).toBe(true);
              else if (has.has(variable)) expect(open[variable]).toBe(true);
            });
            const anew = new Set(
              found.filter((variable) => x[variable] === 0).map((variable) => ties.owners[variable]),
            );
            anew.delete(null);
            expect(anew.size).toBeLessThanOrEqual(most);
          }
        },
      ),
      { numRuns: 300 },
    );
    expect(smaller).toBeGreaterThan(100);
  });

  it("comes in the same order each time", () => {
    fc.assert(
      fc.property(drawn, (from) => {
        const ties = tiesOf(from);
        const [a, b] = [new Neighbourhoods(ties), new Neighbourhoods(ties)];
        const x = ties.owners.map((_, variable) => variable % 2);
        for (let turn = 0; turn < 5; turn++) expect(a.next(x, () => true)).toEqual(b.next(x, () => true));
      }),
    );
  });

  it("is of owners that bring fragments to the same blocks", () => {
    // Ten memories with two choices each, of two sorts: two keys in common count for more than chance.
    const owners = Array.from({ length: 20 }, (_, variable) => `m${variable >> 1}`);
    const sortOf = (variable: number) => (variable < 10 ? "a" : "b");
    const keys = owners.map((_, variable) => [`${sortOf(variable)} 1`, `${sortOf(variable)} 2`]);
    const neighbourhoods = new Neighbourhoods({ owners, keys });
    const unused = owners.map(() => 0);
    const sorts = Array.from({ length: 60 }, () => {
      const found = neighbourhoods.next(unused, () => true)!;
      expect(found).toHaveLength(6);
      return [...new Set(found.map(sortOf))].join();
    });
    expect(new Set(sorts)).toEqual(new Set(["a", "b"]));
  });
});
