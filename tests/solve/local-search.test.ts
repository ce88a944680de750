import fc from "fast-check";
import { expect, test } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { OBJECTIVES, type PackProgram, packProgram, spendingOf } from "../../src/program/index.js";
import { improved } from "../../src/solve/local-search.js";
import { designOf } from "../support/random-designs.js";
import { BINARY, NINTHS, tinyDevice } from "../support/tiny-device.js";

const tinyMemory = fc.record({
  depth: fc.integer({ min: 1, max: 12 }),
  width: fc.integer({ min: 1, max: 9 }),
  ports: fc.constantFrom("1rw", "1rw", "1r1w"),
  instances: fc.integer({ min: 1, max: 3 }),
});

function worth(pack: PackProgram, counts: readonly number[]): number[] {
  const { overrun, objectives } = spendingOf(pack, counts);
  return [overrun, ...OBJECTIVES.map((objective) => objectives[objective])];
}

function isLess(a: readonly number[], b: readonly number[]): boolean {
  const at = a.findIndex((value, index) => value !== b[index]);
  return at >= 0 && a[at]! < b[at]!;
}

/** Every choice that differs from another in one instance, or in all that a request has of one candidate. */
function neighbours(pack: PackProgram, counts: readonly number[]): number[][] {
  return pack.columnsOf.requests.flatMap((columns) =>
    columns.flatMap((from) =>
      columns.flatMap((to) =>
        [1, counts[from]!].flatMap((items) => {
          if (from === to || counts[from]! < items || items === 0) return [];
          const next = [...counts];
          next[from]! -= items;
          next[to]! += items;
          return [next];
        }),
      ),
    ),
  );
}

/** The exact spending of neighbours, worked out afresh, is the check on the sums that the search keeps up to date. */
test("a search ends at a choice that no neighbour beats, no worse than where it began", () => {
  let moved = 0;
  let fitted = 0;
  fc.assert(
    fc.property(
      fc.array(tinyMemory, { minLength: 1, maxLength: 5 }),
      fc.integer({ min: 0, max: 12 }),
      fc.integer({ min: 0, max: 12 }),
      fc.infiniteStream(fc.nat()),
      (memories, ninths, binary, picks) => {
        const requests = memories.map(({ depth, width, ports, instances }, index) =>
          memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)!, instances }),
        );
        const device = tinyDevice([NINTHS, BINARY], [ninths, binary]);
        const design = designOf(requests);
        const pack = packProgram(choicesOf(design, device), design, device);
        const start = pack.columns.map(() => 0);
        for (const [owner, columns] of pack.columnsOf.requests.entries()) {
          start[columns[picks.next().value! % columns.length]!] = requests[owner]!.instances;
        }
        const counts = improved(pack, start, Number.POSITIVE_INFINITY);
        pack.columnsOf.requests.forEach((columns, owner) => {
          const held = columns.reduce((sum, column) => sum + counts[column]!, 0);
          expect(held).toBe(requests[owner]!.instances);
        });
        const [before, after] = [worth(pack, start), worth(pack, counts)];
        expect(isLess(before, after)).toBe(false);
        if (isLess(after, before)) moved += 1;
        if (before[0]! > 0 && after[0] === 0) fitted += 1;
        for (const next of neighbours(pack, counts)) {
          const other = worth(pack, next);
          if (after[0] === 0) expect(isLess(other, after)).toBe(false);
        }
      },
    ),
    { numRuns: 200, seed: 3 },
  );
  // Where nothing moved, nothing was shown.
  expect(moved).toBeGreaterThan(50);
  expect(fitted).toBeGreaterThan(10);
});

test("a search that has no time is where it began", () => {
  const request = memoryRequest({ name: "m", depth: 16, width: 9, ports: parsePorts("1r1w")! });
  const device = tinyDevice([NINTHS, BINARY], [9, 9]);
  const design = designOf([request]);
  const pack = packProgram(choicesOf(design, device), design, device);
  const dearest = pack.columns
    .map((_, column) => pack.columns.map((__, other) => (other === column ? 1 : 0)))
    .reduce((most, counts) => (isLess(worth(pack, most), worth(pack, counts)) ? counts : most));
  expect(improved(pack, dearest, 0)).toEqual(dearest);
  expect(worth(pack, improved(pack, dearest, Number.POSITIVE_INFINITY))).not.toEqual(worth(pack, dearest));
});
