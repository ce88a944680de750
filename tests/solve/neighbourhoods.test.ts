import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Neighbourhoods } from "../../src/solve/neighbourhoods.js";
import type { Excerpt, Ties } from "../../src/solve/ties.js";

/** Invented ties: up to 12 owners with up to 4 variables each, and some variables that count something. */
const drawn = fc.record({
  owners: fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 1, maxLength: 12 }),
  others: fc.nat(3),
});

type Drawn = typeof drawn extends fc.Arbitrary<infer T> ? T : never;

/** Ties whose excerpts have a variable for each choice, with its number as its name. */
function withExcerpts(owners: readonly (string | null)[]): Ties {
  const excerptOf = (choices: readonly number[]) => {
    const variables = choices.map((choice) => ({ name: `${choice}`, objective: 0, upper: null }));
    return { program: { variables, rows: [] }, spread: () => null };
  };
  return { owners, excerptOf };
}

function tiesOf({ owners, others }: Drawn): Ties {
  const own = owners.flatMap((variables, owner) => Array.from({ length: variables }, () => `m${owner}`));
  return withExcerpts([...own, ...Array.from({ length: others }, () => null)]);
}

function choicesOf(excerpt: Excerpt | null): readonly number[] | null {
  return excerpt === null ? null : excerpt.program.variables.map(({ name }) => Number(name));
}

describe("a neighbourhood", () => {
  it("has all choices of the solution, and anew only what may be better, of a fifth of the owners that have a choice", () => {
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
            const found = choicesOf(neighbourhoods.next(x, (variable) => open[variable]!, 0.2));
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
              if (ties.owners[variable] === null) expect(has.has(variable)).toBe(false);
              else if (items > 0) expect(has.has(variable)).toBe(true);
              else if (has.has(variable)) expect(open[variable]).toBe(true);
            });
            const anew = new Set(
              found.filter((variable) => x[variable] === 0).map((variable) => ties.owners[variable]),
            );
            expect(anew.size).toBeLessThanOrEqual(most);
          }
        },
      ),
      { numRuns: 300 },
    );
    expect(smaller).toBeGreaterThan(100);
  });

  it("is of fewer owners where they have many choices, but of one at least", () => {
    const sizeWith = (each: number) => {
      const owners = Array.from({ length: 20 * each }, (_, variable) => `m${Math.floor(variable / each)}`);
      const unused = owners.map(() => 0);
      return choicesOf(new Neighbourhoods(withExcerpts(owners)).next(unused, () => true, 0.4))!.length / each;
    };
    // 8 of 20 owners, and as many as have 500 choices together.
    expect([2, 62, 63, 200, 600].map(sizeWith)).toEqual([8, 8, 7, 2, 1]);
  });

  it("comes in the same order each time", () => {
    fc.assert(
      fc.property(drawn, (from) => {
        const ties = tiesOf(from);
        const [a, b] = [new Neighbourhoods(ties), new Neighbourhoods(ties)];
        const x = ties.owners.map((_, variable) => variable % 2);
        for (let turn = 0; turn < 5; turn++) {
          expect(choicesOf(a.next(x, () => true, 0.2))).toEqual(choicesOf(b.next(x, () => true, 0.2)));
        }
      }),
    );
  });

  it("comes to all owners in time", () => {
    const owners = Array.from({ length: 40 }, (_, variable) => `m${variable >> 1}`);
    const neighbourhoods = new Neighbourhoods(withExcerpts(owners));
    const unused = owners.map(() => 0);
    const seen = new Set<number>();
    for (let turn = 0; turn < 40; turn++) {
      for (const choice of choicesOf(neighbourhoods.next(unused, () => true, 0.2))!) seen.add(choice);
    }
    expect(seen.size).toBe(40);
  });
});
