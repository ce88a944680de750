import { describe, expect, it } from "vitest";
import { simulatedCache } from "../../../src/advise/cache-simulator/cache.js";
import { batchOf, geometry, hitsOf, readsOf } from "./accesses.js";

/** Sequences with known hits and misses. Books and their figures are cited from memory. */
describe("textbook sequences", () => {
  it("a direct-mapped cache of 8 words", () => {
    // Patterson & Hennessy, Computer Organization and Design, section "The basics of caches".
    const accesses = readsOf([22, 26, 22, 26, 16, 3, 16, 18, 16], 4);
    const hits = hitsOf(geometry({ sets: 8 }), accesses);
    expect(hits).toEqual([false, false, true, true, false, false, true, false, true]);
  });

  it.each([
    ["direct-mapped", { sets: 4, ways: 1 }, 5],
    ["two-way", { sets: 2, ways: 2 }, 4],
    ["fully associative", { sets: 1, ways: 4 }, 3],
  ])("four blocks, %s", (_, shape, misses) => {
    // Patterson & Hennessy, same book, "Misses and associativity in caches": block addresses 0, 8, 0, 6, 8.
    const hits = hitsOf(geometry(shape), readsOf([0, 8, 0, 6, 8], 4));
    expect(hits.filter((hit) => !hit)).toHaveLength(misses);
  });

  it.each([
    ["fifo", 3, 9],
    ["fifo", 4, 10],
    ["lru", 3, 10],
    ["lru", 4, 8],
  ] as const)("Belady's sequence: %s with %i ways misses %i times", (replacement, ways, misses) => {
    // Belady, Nelson & Shedler, Communications of the ACM 12(6), 1969: first in, first out misses more with more room.
    const accesses = readsOf([1, 2, 3, 4, 1, 2, 5, 1, 2, 3, 4, 5], 4);
    const cache = simulatedCache(geometry({ ways, replacement }));
    cache.run(batchOf(accesses));
    expect(cache.counts().misses).toBe(misses);
  });

  it.each([
    ["fifo", 15],
    ["lru", 12],
    ["lru-matrix", 12],
    ["lru-age", 12],
  ] as const)("page replacement: %s with 3 ways misses %i times", (replacement, misses) => {
    // Silberschatz, Galvin & Gagne, Operating System Concepts, chapter on virtual memory, "Page replacement".
    const sequence = [7, 0, 1, 2, 0, 3, 0, 4, 2, 3, 0, 3, 2, 1, 2, 0, 1, 7, 0, 1];
    const cache = simulatedCache(geometry({ ways: 3, replacement }));
    cache.run(batchOf(readsOf(sequence, 4)));
    expect(cache.counts().misses).toBe(misses);
  });

  it("a tree of bits replaces another way than LRU", () => {
    // Worked by hand: after A B C D A the root points to C and D, and their node away from D.
    const then = (replacement: "lru" | "tree-plru", probe: number) =>
      hitsOf(geometry({ ways: 4, replacement }), readsOf([0, 1, 2, 3, 0, 4, probe], 4)).at(-1);
    expect([1, 2, 3].map((line) => then("tree-plru", line))).toEqual([true, false, true]);
    expect([1, 2, 3].map((line) => then("lru", line))).toEqual([false, true, true]);
  });
});
