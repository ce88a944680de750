import { describe, expect, it } from "vitest";
import { requestBits } from "../../src/model/index.js";
import { replacementState } from "../../src/structures/index.js";
import { allBits, build, part, shapeOf, type Written } from "../structures/build.js";

/** A textbook cache: valid bit, tag and data; read a whole line at a time, no dirty bit, no replacement state. */
function textbook(fields: Record<string, unknown>): Written {
  return { kind: "cache", write: "through", replacement: "none", access: fields.line, ...fields };
}

describe("Patterson & Hennessy, Computer Organization and Design, sections 5.3 and 5.4", () => {
  it("example on total bits: 16 KiB direct mapped, four-word blocks, 32-bit address: 147 Kibit", () => {
    const cache = build(textbook({ size: "16 KiB", line: "16 B", address: 32 }));
    expect(shapeOf(part(cache, "data"))).toBe("1 of 1024x128");
    expect(shapeOf(part(cache, "tag"))).toBe("1 of 1024x19"); // 18 + 1
    expect(allBits(cache.requests)).toBe(150_528);
    expect(allBits(cache.requests)).toBe(147 * 1024);
    expect(allBits(cache.requests) / (16 * 1024 * 8)).toBeCloseTo(1.15, 2);
  });

  it("the same with a 64-bit address (RISC-V edition): 179 Kibit", () => {
    const cache = build(textbook({ size: "16 KiB", line: "16 B", address: 64 }));
    expect(part(cache, "tag").width).toBe(50 + 1);
    expect(allBits(cache.requests)).toBe(183_296);
    expect(allBits(cache.requests)).toBe(179 * 1024);
  });

  // Section 5.4 (5.3 in older editions), example on size of tags against associativity. From memory.
  it.each([
    { ways: 1, tag: 16, total: 65_536 },
    { ways: 2, tag: 17, total: 69_632 },
    { ways: 4, tag: 18, total: 73_728 },
    { ways: 4096, tag: 28, total: 114_688 },
  ])("tags of 4,096 blocks of four words, 32-bit address, $ways ways", ({ ways, tag, total }) => {
    const cache = build(textbook({ size: "64 KiB", line: "16 B", address: 32, ways }));
    const tags = part(cache, "tag");
    expect(tags.width - 1).toBe(tag);
    expect(tag * tags.depth * tags.instances).toBe(total);
    expect(tags.depth * tags.instances).toBe(4096);
  });

  // The first: an exercise set after the book. The others: exercise 5.3 of the RISC-V edition, with a 64-bit
  // address and 4-byte words: our reading of the edition.
  it.each([
    { size: "8 KiB", line: "16 B", address: 32, lines: 512, tag: 19, total: 75_776 },
    { size: "32 KiB", line: "8 B", address: 64, lines: 4096, tag: 49, total: 466_944 },
    { size: "64 KiB", line: "64 B", address: 64, lines: 1024, tag: 48, total: 574_464 },
  ])("valid, tag and data of $size in $line blocks", ({ lines, tag, total, ...fields }) => {
    const cache = build(textbook(fields));
    expect(shapeOf(part(cache, "tag"))).toBe(`1 of ${lines}x${tag + 1}`);
    expect(allBits(cache.requests)).toBe(total);
  });

  it("exercise 5.3: twice the data takes 1.23 times the bits", () => {
    const small = build(textbook({ size: "32 KiB", line: "8 B", address: 64 }));
    const large = build(textbook({ size: "64 KiB", line: "64 B", address: 64 }));
    expect(allBits(large.requests) / allBits(small.requests)).toBeCloseTo(1.23, 2);
  });

  // Section 5.3, embedded processor example: 8-bit index, 4-bit block offset, 18-bit tag. From memory.
  it("16 KiB in 256 blocks of 16 words", () => {
    const cache = build(textbook({ size: "16 KiB", line: "64 B", access: 32, address: 32 }));
    expect(part(cache, "tag").depth).toBe(2 ** 8);
    expect(part(cache, "data").depth).toBe(2 ** (8 + 4));
    expect(part(cache, "tag").width).toBe(18 + 1);
  });
});

describe("Hennessy & Patterson, Computer Architecture", () => {
  // 5th edition, appendix B.1, figure B.5.
  it("64 KB, two ways, 64-byte blocks, 40-bit address: 9-bit index, 25-bit tag, 8 bytes at a time", () => {
    const cache = build({ kind: "cache", size: "64 KiB", ways: 2, line: "64 B", address: 40, access: 64 });
    expect(shapeOf(part(cache, "data"))).toBe("2 of 4096x64");
    expect(part(cache, "tag").depth).toBe(2 ** 9);
    expect(part(cache, "tag").width).toBe(25 + 2); // valid and dirty
  });

  // 4th edition, section 5.6, page 329.
  it("1 MB, 16 ways, 64-byte blocks, 40-bit address: 10-bit index, 24-bit tag", () => {
    const cache = build({ kind: "cache", size: "1 MiB", ways: 16, line: "64 B", address: 40 });
    expect(part(cache, "tag").depth).toBe(2 ** 10);
    expect(part(cache, "tag").width).toBe(24 + 2);
    expect(part(cache, "tag").instances).toBe(16);
  });

  // The same section and page: index + offset 15 bits, 3 more than the offset of a 4 KB page, so 8 places a way.
  it("64 KB in two ways, virtually indexed: 8 colours", () => {
    const cache = build({
      kind: "cache",
      size: "64 KiB",
      ways: 2,
      line: "64 B",
      address: 40,
      index: "virtual",
    });
    expect(cache.warnings).toHaveLength(1);
    expect(cache.warnings[0]).toContain("8 colours");
    // The 3 upper index bits are virtual, so the physical tag has to keep them: 25 + 3.
    expect(part(cache, "tag").width).toBe(28 + 2);
  });

  // Appendix B.3: no alias while size / ways is at most the page of 4 KiB.
  it.each([
    { size: "16 KiB", enough: 4 },
    { size: "32 KiB", enough: 8 },
  ])("$size, virtually indexed, needs $enough ways", ({ size, enough }) => {
    const of = (ways: number) =>
      build({ kind: "cache", size, ways, line: "64 B", address: 40, index: "virtual" }).warnings;
    expect(of(enough)).toEqual([]);
    expect(of(enough / 2)).toHaveLength(1);
    expect(of(enough / 2)[0]).toContain(`${enough} ways`);
  });
});

describe("lectures and examinations", () => {
  // NPTEL computer architecture course, module 4, lecture 7: offset 6, index 9, tag 17.
  it("512 lines of 64 bytes direct mapped, 32-bit address", () => {
    const cache = build(textbook({ size: "32 KiB", line: "64 B", address: 32 }));
    expect(shapeOf(part(cache, "tag"))).toBe("1 of 512x18");
  });

  // Examination question with a published answer (sarthaks.com/2576685): 128 sets, 20-bit tag.
  it("16 KB, four ways, eight-word blocks of four-byte words, 4 GB of memory", () => {
    const cache = build(textbook({ size: "16 KiB", ways: 4, line: "32 B", address: 32 }));
    expect(shapeOf(part(cache, "tag"))).toBe("4 of 128x21");
  });

  // Examination question with a published answer (cs4gate.com/questions/144): word 7, set 4, tag 9 bits.
  it("8 KB, four ways, 128-byte blocks, 1 MB of memory", () => {
    const cache = build(textbook({ size: "8 KiB", ways: 4, line: "128 B", address: 20 }));
    expect(shapeOf(part(cache, "tag"))).toBe("4 of 16x10");
  });
});

describe("replacement state of a set", () => {
  // Tree ways - 1, LRU at least ceil(log2(ways!)): University of Virginia, course notes on tree PLRU
  // (cs.virginia.edu/~lat7h/3330/S2022/tree-plru.html). Pairwise matrix: Clemson University
  // (people.cs.clemson.edu/~mark/464/p_lru.txt). Age counters: common practice, no source.
  const table = [
    { ways: 2, tree: 1, lru: 1, matrix: 1, age: 2 },
    { ways: 4, tree: 3, lru: 5, matrix: 6, age: 8 },
    { ways: 8, tree: 7, lru: 16, matrix: 28, age: 24 },
    { ways: 16, tree: 15, lru: 45, matrix: 120, age: 64 },
  ];
  it.each(table)("$ways ways", ({ ways, tree, lru, matrix, age }) => {
    expect(replacementState("tree-plru", ways).bits).toBe(tree);
    expect(replacementState("lru", ways).bits).toBe(lru);
    expect(replacementState("lru-matrix", ways).bits).toBe(matrix);
    expect(replacementState("lru-age", ways).bits).toBe(age);
  });

  it.each(table)("is the width of the memory of a cache of $ways ways", ({ ways, lru }) => {
    const size = `${ways} KiB`;
    const cache = build({ kind: "cache", size, ways, line: "64 B", address: 32, replacement: "lru" });
    expect(shapeOf(part(cache, "replacement"))).toBe(`1 of 16x${lru}`);
  });
});

describe("memories of real caches, as their documents list them", () => {
  // The manual of an open 32-bit in-order core, chapter on its instruction cache, table of RAMs. With error check
  // 6 bits are added to a tag and 8 to each 64 bits of data.
  const published = [
    { ways: 2, line: 64, check: {}, tag: "2 of 256x22", data: "2 of 256x64" },
    {
      ways: 2,
      line: 64,
      check: { tag_error_bits: 6, error_bits: 8 },
      tag: "2 of 256x28",
      data: "2 of 256x72",
    },
    { ways: 2, line: 128, check: {}, tag: "2 of 128x22", data: "2 of 128x128" },
    // The manual says 22 bits in every row. Ways of 1 KiB leave a tag of 22 bits + valid: computed 23.
    { ways: 4, line: 64, check: {}, tag: "4 of 128x23", data: "4 of 128x64" },
  ];
  it.each(published)(
    "4 KiB instruction cache, $ways ways, $line-bit line, $check",
    ({ ways, line, check, tag, data }) => {
      const cache = build({
        kind: "cache",
        size: "4 KiB",
        ways,
        line: `${line} bits`,
        access: line,
        address: 32,
        read_only: true,
        ...check,
      });
      expect(shapeOf(part(cache, "tag"))).toBe(tag);
      expect(shapeOf(part(cache, "data"))).toBe(data);
    },
  );

  // An open 64-bit application core, default Sv39 configuration file: both caches have 256 sets and 4 KiB ways.
  it.each([
    { bytes: 16_384, ways: 4, read_only: true },
    { bytes: 32_768, ways: 8, read_only: false },
  ])("$bytes bytes in $ways ways of 128-bit lines", ({ bytes, ways, read_only }) => {
    const cache = build({
      kind: "cache",
      size: `${bytes} B`,
      ways,
      line: "128 bits",
      address: 56,
      index: "virtual",
      read_only,
    });
    expect(part(cache, "tag").depth).toBe(256);
    expect(requestBits(part(cache, "data"))).toBe(8 * 4096);
    expect(cache.warnings).toEqual([]);
  });

  // An open in-order core generator, defaults: 64 sets, 4 ways, rows of 64 bits (from a stored copy of its data
  // cache source); the line of 64 bytes is from memory.
  it("64 sets of 4 ways, 64-bit rows: 16 KiB in ways of 4 KiB", () => {
    const cache = build({
      kind: "cache",
      size: "16 KiB",
      ways: 4,
      line: "64 B",
      access: 64,
      address: 32,
      index: "virtual",
    });
    expect(part(cache, "tag").depth).toBe(64);
    expect(shapeOf(part(cache, "data"))).toBe("4 of 512x64");
    expect(cache.warnings).toEqual([]);
  });
});
