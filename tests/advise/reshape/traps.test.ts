import { describe, expect, it } from "vitest";
import { type Reshaped, reshape } from "../../../src/advise/index.js";
import { findDevice } from "../../../src/input/index.js";
import { designOf } from "./designs.js";

/** Rows without options: growth and what stays the same; with effects, those too. */
function reshaped(
  device: string,
  entries: string,
  ...allow: readonly ("size" | "behaviour")[]
): Promise<Reshaped> {
  return reshape(designOf(`design: trap\nclock: 50 MHz\n${entries}`), findDevice(device), { allow });
}

function titles(result: Reshaped, kind: string): string[] {
  return result.rows.filter((row) => row.kind === kind).map(({ title }) => title);
}

describe("growth past a power of two", () => {
  it("of words goes to the end of the block and not one further", async () => {
    // A block of 1,024 x 18: from 600 words it is 1,024, where the address keeps its 10 bits.
    const result = await reshaped(
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 600, width: 18, ports: 1r1w }\n",
    );
    const row = result.rows.find(({ title }) => title.includes("words"));
    expect(row).toMatchObject({
      title: "a: 1,024 words instead of 600 at no cost",
      needs: [],
      moreBits: 424 * 18,
    });
  });

  it("of words tells the address bits that it takes", async () => {
    const result = await reshaped(
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 400, width: 18, ports: 1r1w }\n",
    );
    const row = result.rows.find(({ title }) => title.includes("words"));
    expect(row?.title).toBe("a: 1,024 words instead of 400 at no cost");
    expect(row?.needs).toEqual(["1 address bit more (past a power of two)"]);
  });

  it("of a full block costs another, so there is none", async () => {
    const result = await reshaped(
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 1024, width: 18, ports: 1r1w }\n",
    );
    expect(titles(result, "grow")).toEqual([]);
  });

  it("of sets doubles them", async () => {
    // 64 entries of 29 bits lie in two blocks of 512 x 20: twice, four or eight times as many, no number between.
    const table = "{ kind: branch-target-buffer, name: t, entries: 64, address: 32, tag: 8, target: 20 }";
    const result = await reshaped("generic-10k", `structures:\n  - ${table}\n`);
    const row = result.rows.find(({ title }) => title.includes("sets"));
    expect(row?.title).toBe("t: 512 sets instead of 64 at no cost");
  });
});

describe("lanes that break a joined tag", () => {
  // A tag of 32 - 9 - 6 bits and a valid bit, 18 together: two hardware write lanes of 9 bits each way, when the ways lie
  // side by side. Every bit more takes a third lane.
  const cache = "{ kind: cache, name: l1, size: 128 KiB, ways: 4, line: 64 B, address: 32, read_only: true }";

  it("are counted: one more bit a tag is not free", async () => {
    const result = await reshaped("ecp5-25f", `structures:\n  - ${cache}\n`);
    const read = designOf(`design: trap\ndevice: ecp5-25f\nstructures:\n  - ${cache}\n`);
    expect(read.design.requests.find(({ name }) => name === "l1.tag")).toMatchObject({
      depth: 512,
      width: 18,
    });
    expect(titles(result, "grow").filter((title) => title.includes("check bits a tag"))).toEqual([]);
  });

  it("leave room for whole lanes where the tag does not fill them", async () => {
    const shorter = cache.replace("address: 32", "address: 30");
    const result = await reshaped("ecp5-25f", `structures:\n  - ${shorter}\n`);
    expect(titles(result, "grow")).toContain("l1: 2 check bits a tag instead of 0 at no cost");
  });

  it("hand-written tags and state do not join for nothing", async () => {
    // 35 + 1 bits fit a word of 36 side by side, but each is written alone: 4 lanes of 9 and one more.
    const result = await reshaped(
      "ecp5-25f",
      `memories:
  - { name: tag, depth: 512, width: 35, ports: 1r1w }
  - { name: dirty, depth: 512, width: 1, ports: 1r1w, in: EBR }
`,
      "behaviour",
    );
    expect(titles(result, "join")).toEqual([]);
    const shorter = await reshaped(
      "ecp5-25f",
      `memories:
  - { name: tag, depth: 512, width: 27, ports: 1r1w }
  - { name: dirty, depth: 512, width: 1, ports: 1r1w, in: EBR }
`,
      "behaviour",
    );
    expect(titles(shorter, "join")).toEqual(["tag and dirty side by side, with write lanes"]);
  });
});

describe("a way larger than a page", () => {
  const cache = (index: string) =>
    `structures:\n  - { kind: cache, name: l1, size: 16 KiB, ways: 4, line: 64 B, address: 38, index: ${index} }\n`;

  it("is not proposed where the index is virtual", async () => {
    const [virtual, physical] = [
      await reshaped("ecp5-25f", cache("virtual"), "behaviour"),
      await reshaped("ecp5-25f", cache("physical"), "behaviour"),
    ];
    const fewer = (result: Reshaped) =>
      titles(result, "ways").filter((title) => /^l1: [12] ways? of/.test(title));
    expect(fewer(physical).length).toBeGreaterThan(0);
    expect(fewer(virtual)).toEqual([]);
    expect(titles(virtual, "grow").filter((title) => title.includes("sets"))).toEqual([]);
  });
});

describe("a device without LUT memory", () => {
  it("has nothing proposed for LUT memory", async () => {
    const entries = "memories:\n  - { name: a, depth: 64, width: 16, ports: 1r1w }\n";
    const [without, having] = [
      await reshaped("generic-10k", entries),
      await reshaped("ecp5-25f", `${entries}small: { lut_depth: 8 }\n`),
    ];
    const inLuts = ({ rows, failed }: Reshaped) =>
      [...rows, ...failed].filter(({ edits }) => JSON.stringify(edits).match(/"LUT"|lut-memory/));
    expect(inLuts(having).length).toBeGreaterThan(0);
    expect(inLuts(without)).toEqual([]);
    expect(titles(without, "small")).toEqual(["a: in registers"]);
  });
});

describe("a 33-bit memory", () => {
  // A block of 4,096 bits is 256 x 16 at its widest: 33 bits take three, the third for one bit.
  it("is trimmed by one bit where that saves a block", async () => {
    const result = await reshaped(
      "up5k",
      "memories:\n  - { name: a, depth: 256, width: 33, ports: 1r1w }\n",
      "size",
    );
    expect(result.rows).toContainEqual(
      expect.objectContaining({
        title: "a: 1 of 33 bits a word left out",
        effect: "size",
        saved: { EBR: 1 },
        edits: [{ path: "a.width", value: 32 }],
      }),
    );
  });

  it("grows to the full word of the blocks that it takes", async () => {
    const result = await reshaped("up5k", "memories:\n  - { name: a, depth: 256, width: 33, ports: 1r1w }\n");
    expect(titles(result, "grow")).toContain("a: 48 bits a word instead of 33 at no cost");
  });

  it("puts its last bit into LUT memory where the device has any", async () => {
    const result = await reshaped(
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 512, width: 37, ports: 1r1w }\n",
    );
    const row = result.rows.find(({ kind }) => kind === "split");
    expect(row).toMatchObject({ effect: "same", saved: { EBR: 1 }, moreBits: 0 });
    expect(row?.edits).toEqual([
      { path: "a.width", value: 36 },
      {
        list: "memories",
        entry: { name: "a_rest", depth: 512, width: 1, ports: "1r1w", in: "LUT" },
        after: "a",
      },
    ]);
  });
});
