import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { allBits, build, part, problems, shapeOf, type Written } from "./build.js";

const base: Written = {
  kind: "cache",
  size: "16 KiB",
  ways: 4,
  line: "64 B",
  address: 38,
  access: 64,
};

/** Legal geometries: exponents of two for everything, and the fields that hold freely beside them. */
const geometry = fc
  .record({
    sets: fc.integer({ min: 0, max: 8 }),
    ways: fc.integer({ min: 1, max: 9 }),
    line: fc.integer({ min: 3, max: 7 }),
    access: fc.integer({ min: 3, max: 7 }),
    refill: fc.integer({ min: 0, max: 3 }),
    banks: fc.integer({ min: 0, max: 2 }),
    instances: fc.integer({ min: 1, max: 4 }),
    data: fc.constantFrom("auto", "per-way", "joined"),
    state: fc.constantFrom("with-tag", "apart"),
    snoop: fc.boolean(),
    lane: fc.constantFrom(undefined, 8),
    replacement: fc.constantFrom("lru", "tree-plru", "fifo", "random", "none"),
  })
  .map(({ sets, ways, line, access, refill, banks, ...rest }) => {
    const lineBits = 8 * 2 ** line;
    const accessBits = Math.min(2 ** access, lineBits);
    const words = lineBits / accessBits;
    return {
      sets: 2 ** sets,
      lineBits,
      written: {
        kind: "cache",
        size: `${2 ** sets * ways * 2 ** line} B`,
        ways,
        line: `${2 ** line} B`,
        address: 40,
        access: accessBits,
        refill: accessBits * Math.min(2 ** refill, words),
        banks: Math.min(2 ** banks, 2 ** sets * words),
        ...rest,
      },
    };
  });

describe("a cache of any legal geometry", () => {
  it("holds as many data bits as its size, in every arrangement of data", () => {
    fc.assert(
      fc.property(geometry, ({ sets, lineBits, written }) => {
        const data = part(build(written), "data");
        expect(allBits([data])).toBe(sets * lineBits * written.ways * written.instances);
      }),
    );
  });

  it("holds a tag a line, each with the bits that index and offset do not tell", () => {
    fc.assert(
      fc.property(geometry, ({ sets, lineBits, written }) => {
        const cache = build({ ...written, state: "apart" });
        const tag = part(cache, "tag");
        expect(tag.depth * tag.instances).toBe(sets * written.ways * written.instances);
        expect(sets * 2 ** tag.width * (lineBits / 8)).toBe(2 ** 40);
      }),
    );
  });

  it("takes the same bits for valid and dirty in the tag and apart from it", () => {
    fc.assert(
      fc.property(geometry, ({ written }) => {
        const of = (state: string) => allBits(build({ ...written, state }).requests);
        expect(of("apart")).toBe(of("with-tag"));
      }),
    );
  });

  it("keeps the rules of groups: equal depth, ports and words per access, a whole equal number of copies", () => {
    fc.assert(
      fc.property(geometry, ({ written }) => {
        const requests = build(written).requests.filter((r) => r.lockstep !== null);
        for (const group of new Set(requests.map((r) => r.lockstep!.group))) {
          const members = requests.filter((r) => r.lockstep!.group === group);
          const copies = members.map((r) => r.instances / r.lockstep!.members);
          expect(new Set(copies).size).toBe(1);
          expect(Number.isInteger(copies[0])).toBe(true);
          expect(new Set(members.map((r) => r.depth)).size).toBe(1);
          expect(new Set(members.map((r) => JSON.stringify([r.ports, r.wordsPerAccess]))).size).toBe(1);
          expect(members.reduce((sum, r) => sum + r.lockstep!.members, 0)).toBeGreaterThan(1);
        }
      }),
    );
  });

  it("moves a whole number of refill beats: the wide side is a power of two that divides the depth", () => {
    fc.assert(
      fc.property(geometry, ({ written }) => {
        const { depth, wordsPerAccess } = part(build(written), "data");
        expect(wordsPerAccess.read).toBe(1);
        expect(Number.isInteger(Math.log2(wordsPerAccess.write))).toBe(true);
        expect(depth % wordsPerAccess.write).toBe(0);
      }),
    );
  });

  it("ends each formula with the figure that it explains", () => {
    fc.assert(
      fc.property(geometry, ({ written }) => {
        for (const { formula, depth, width } of build(written).requests) {
          expect(formula?.depth).toMatch(new RegExp(`\\b${depth}\\b`));
          expect(formula?.width).toMatch(new RegExp(`\\b${width}$`));
        }
      }),
    );
  });
});

describe("cache", () => {
  it("derives data, tag and replacement state with their formulas", () => {
    const cache = build({ ...base, instances: 3, refill: 128, lane: 8, index: "virtual" });
    expect(cache.requests.map((r) => `${r.name} ${shapeOf(r)}`)).toEqual([
      "x.data 12 of 512x64",
      "x.tag 12 of 64x28",
      "x.replacement 3 of 64x3",
    ]);
    const [data, tag, replacement] = cache.requests;
    expect(data?.lane).toBe(8);
    expect(data?.wordsPerAccess).toEqual({ read: 1, write: 2 });
    expect(data?.lockstep).toEqual({ group: "x.data", members: 4, together: false });
    expect(tag?.lockstep).toEqual({ group: "x.tags", members: 4, together: false });
    expect(replacement?.lockstep).toEqual({ group: "x.tags", members: 1, together: false });
    expect(data?.formula?.depth).toBe(
      "sets x words per line = 64 x (512 / 64) = 512, 2 of them in one write of a refill of 128 bits",
    );
    expect(tag?.formula?.width).toBe("address 38 - index 6 - offset 6 + valid 1 + dirty 1 = 28");
  });

  it("joins ways side by side with a write lane a way, or finer", () => {
    const whole = part(build({ ...base, data: "joined", error_bits: 8 }), "data");
    expect([shapeOf(whole), whole.lane, whole.lockstep]).toEqual(["1 of 512x288", 72, null]);
    const fine = part(build({ ...base, data: "joined", lane: 8 }), "data");
    expect([shapeOf(fine), fine.lane]).toEqual(["1 of 512x256", 8]);
  });

  it("gives each lane its share of the check bits", () => {
    const data = part(build({ ...base, lane: 8, error_bits: 8 }), "data");
    expect([data.width, data.lane]).toEqual([72, 9]);
  });

  it("splits a way into banks, and a refill beat over them", () => {
    const banked = (banks: number) => part(build({ ...base, refill: 256, banks }), "data");
    expect([shapeOf(banked(2)), banked(2).wordsPerAccess.write]).toEqual(["8 of 256x64", 2]);
    expect([shapeOf(banked(8)), banked(8).wordsPerAccess.write]).toEqual(["32 of 64x64", 1]);
    expect(banked(8).lockstep?.members).toBe(4);
  });

  it("adds a read port to tags and state for snoops, and takes the replacement state out of their group", () => {
    const cache = build({ ...base, snoop: true, state: "apart" });
    for (const name of ["tag", "state"]) {
      expect(part(cache, name).ports).toEqual({ read: 2, write: 1, readWrite: 0 });
      expect(part(cache, name).lockstep?.group).toBe("x.tags");
    }
    expect(part(cache, "replacement").ports).toEqual({ read: 1, write: 1, readWrite: 0 });
    expect(part(cache, "replacement").lockstep).toBeNull();
  });

  it("keeps no dirty bit where it writes through or only reads", () => {
    const width = (fields: object) => part(build({ ...base, ...fields }), "tag").width;
    expect(width({ write: "back" })).toBe(28);
    expect(width({ write: "through" })).toBe(27);
    expect(width({ read_only: true })).toBe(27);
  });

  it("with one way has no replacement state and no group", () => {
    const cache = build({ ...base, ways: 1, replacement: "lru" });
    expect(cache.requests.map((r) => [r.name, r.lockstep])).toEqual([
      ["x.data", null],
      ["x.tag", null],
    ]);
  });

  it("confines data and tags apart", () => {
    const cache = build({ ...base, in: "EBR", tag_in: ["LUT", "registers"], max_cascade: 2 });
    expect(part(cache, "data").homes).toEqual(["EBR"]);
    expect(part(cache, "tag").homes).toEqual(["LUT", "registers"]);
    expect(part(cache, "replacement").homes).toEqual(["LUT", "registers"]);
    expect(part(cache, "tag").maxCascade).toBe(2);
    expect(part(build({ ...base, in: "EBR" }), "tag").homes).toEqual(["EBR"]);
  });

  it("warns of aliases with the way, the page, the colours and what mends them", () => {
    const warned = build({ ...base, ways: 2, index: "virtual" });
    expect(warned.warnings).toEqual([
      "the index is virtual and a way holds 8 KiB (16 KiB / 2 ways), more than the 4 KiB page, so one physical line can lie at 2 places of each way (2 colours); 4 ways would keep a way within the page, as would 8 KiB in 2 ways",
    ]);
    expect(build({ ...base, ways: 2 }).warnings).toEqual([]);
    expect(build({ ...base, ways: 2, index: "virtual", page: "8 KiB" }).warnings).toEqual([]);
  });

  it.each([
    [{ size: 16_384 }, "size: expected a size with its unit"],
    [{ size: undefined }, "size: missing: expected a size with its unit"],
    [{ size: "12 KiB" }, "size: expected a power of two of sets: 4 ways of 64 B lines in 12 KiB make 48"],
    [{ ways: 3 }, "size: expected a power of two of sets"],
    [{ line: "48 B" }, "line: expected a power of two of bytes"],
    [{ address: 12 }, "address: expected more bits than index 6 + offset 6"],
    [{ address: "38 KiB per s" }, "address: expected a number of bits"],
    [{ access: 48 }, "access: expected a divisor of the line of 512 bits"],
    [{ refill: 32 }, "refill: expected 64 bits (access) times a power of two"],
    [{ refill: 192 }, "refill: expected 64 bits (access) times a power of two"],
    [{ refill: 1024 }, "refill: expected 64 bits (access) times a power of two"],
    [{ banks: 3 }, "banks: expected a power of two up to the 512 words of a way"],
    [{ lane: 24 }, "lane: expected a lane that divides the word of 64 bits"],
    [{ lane: 8, error_bits: 7 }, "lane: expected check bits in equal shares for 8 lanes"],
    [{ lane: 8, read_only: true }, "lane: expected no lane in a read_only cache"],
    [{ write: "back", read_only: true }, "write: expected no write rule in a read_only cache"],
    [{ replacement: "plru" }, "replacement: expected one of lru"],
    [{ name: "1st" }, "name: expected a name"],
    [{ instances: 0 }, "instances: expected a whole number from 1 up"],
    [{ instances: 1.5 }, "instances: expected a whole number from 1 up"],
    [{ in: [] }, "in: expected a home or a list of homes"],
  ])("refuses %j", (fields, message) => {
    const found = problems({ ...base, ...fields });
    expect(found).toHaveLength(1);
    expect(found[0]).toContain(message);
  });

  it("refuses a key that it does not have", () => {
    expect(problems({ ...base, sise: "16 KiB" }).join()).toContain("sise");
  });

  it("gathers every problem of a cache", () => {
    expect(problems({ ...base, access: 48, address: 12, lane: 7 })).toHaveLength(3);
  });
});
