import { describe, expect, it } from "vitest";
import { type ChangeKind, type ReshapeRow, reshape } from "../../../src/advise/index.js";
import { findDevice } from "../../../src/input/index.js";
import { designOf } from "./designs.js";

/** The rows of one kind for some entries, all effects allowed. */
async function rows(kind: ChangeKind, device: string, entries: string): Promise<ReshapeRow[]> {
  const read = designOf(`design: kinds\n${entries}`);
  const result = await reshape(read, findDevice(device), { allow: ["size", "behaviour"] });
  return result.rows.filter((row) => row.kind === kind);
}

// Blocks: ecp5-25f 512 x 36, 1024 x 18, 2048 x 9, true dual port from 18 bits down; generic-10k 512 x 20, 256 x 40.
describe("each kind of change finds what arithmetic says", () => {
  it("trim: words above a block", async () => {
    const found = await rows(
      "trim",
      "ecp5-25f",
      "structures:\n  - { kind: fifo, name: q, depth: 520, width: 36 }\n",
    );
    expect(found).toContainEqual(
      expect.objectContaining({ title: "q: 8 of 520 words left out", effect: "size", saved: { EBR: 1 } }),
    );
  });

  it("trim: check bits whole, as a change in behaviour", async () => {
    const local = "{ kind: scratchpad, name: s, size: 16 KiB, width: 32, lane: 16, error_bits: 6 }";
    const [row] = await rows("trim", "ecp5-25f", `structures:\n  - ${local}\n`);
    expect(row).toMatchObject({ effect: "behaviour", edits: [{ path: "s.error_bits", value: 4 }] });
  });

  it("ways: fewer and deeper tags", async () => {
    const cache = "{ kind: cache, name: l1, size: 16 KiB, ways: 4, line: 64 B, address: 38, access: 64 }";
    const found = await rows("ways", "ecp5-25f", `structures:\n  - ${cache}\n`);
    expect(found.length).toBeGreaterThan(0);
    for (const row of found) expect(row.effect).toBe("behaviour");
    expect(found.map(({ title }) => title)).toContain("l1: 2 ways of 128 sets instead of 4 ways of 64 sets");
  });

  it("line: fewer tags", async () => {
    const cache = "{ kind: cache, name: l1, size: 64 KiB, ways: 1, line: 16 B, address: 32, access: 64 }";
    const found = await rows("line", "ecp5-25f", `structures:\n  - ${cache}\n`);
    expect(found.map(({ title }) => title)).toContain("l1: lines of 64 B instead of 16 B");
  });

  it("banks: fewer that fill their blocks, more with a column multiplexer", async () => {
    const two = "{ kind: scratchpad, name: s, size: 2304 B, width: 36, ports: 1r1w, banks: 2 }";
    const [fewer] = await rows("banks", "ecp5-25f", `structures:\n  - ${two}\n`);
    expect(fewer).toMatchObject({
      title: "s: 1 bank instead of 2",
      effect: "behaviour",
      confirm: "no more than 1 bank of s are accessed in one cycle",
      saved: { EBR: 1 },
      // The multiplexer of two inputs on 36 bits, which is not needed any more, a LUT each.
      extraLuts: -36,
    });
    // 64 words in banks of 16 fit LUT memory unasked: the block is saved, for a multiplexer of four inputs.
    const deep = "{ kind: scratchpad, name: s, size: 256 B, width: 32, ports: 1r1w }";
    const more = await rows("banks", "ecp5-25f", `structures:\n  - ${deep}\n`);
    const four = more.find(({ title }) => title === "s: 4 banks instead of 1");
    expect(four).toMatchObject({ effect: "same", saved: { EBR: 1 }, moreBits: 0 });
    expect(four?.needs[0]).toMatch(/^a column multiplexer of 4 inputs, \d levels?$/);
    expect(four?.extraLuts).toBeGreaterThan(0);
  });

  it("split: the words above a block in LUT memory", async () => {
    const found = await rows(
      "split",
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 530, width: 36, ports: 1r1w }\n",
    );
    const row = found.find(({ edits }) => JSON.stringify(edits).includes('"depth":18'));
    expect(row).toMatchObject({ effect: "same", saved: { EBR: 1 }, moreBits: 0, extraLuts: 36 });
  });

  it("join: two memories of one address", async () => {
    const found = await rows(
      "join",
      "generic-10k",
      "memories:\n  - { name: a, depth: 512, width: 10, ports: 1r1w }\n  - { name: b, depth: 512, width: 10, ports: 1r1w }\n",
    );
    expect(found).toEqual([
      expect.objectContaining({
        effect: "behaviour",
        confirm: "a and b see the same address in every cycle",
        saved: { RAM10K: 1 },
      }),
    ]);
  });

  it("join: the ways of a cache", async () => {
    const cache =
      "{ kind: cache, name: l1, size: 4 KiB, ways: 4, line: 32 B, address: 32, access: 18, line: 32 B, data: per-way }";
    const fields = cache.replace("access: 18, line: 32 B, ", "access: 16, ");
    const found = await rows("join", "ecp5-25f", `structures:\n  - ${fields}\n`);
    expect(found[0]).toMatchObject({ effect: "same", edits: [{ path: "l1.data", value: "auto" }] });
    expect(found[0]!.saved.EBR).toBeGreaterThan(0);
  });

  it("together: state in the word of the tag", async () => {
    // 16 bits of tag and 2 of state are two write lanes of 9 bits together, three apart.
    const cache = "{ kind: cache, name: l1, size: 64 KiB, line: 64 B, address: 32, state: apart }";
    const found = await rows("together", "ecp5-25f", `structures:\n  - ${cache}\n`);
    expect(found).toContainEqual(
      expect.objectContaining({
        effect: "same",
        edits: [{ path: "l1.state", value: "with-tag" }],
        moreBits: 0,
      }),
    );
  });

  it("share: a port each of one block", async () => {
    const found = await rows(
      "share",
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 400, width: 18, ports: 1r1w }\n  - { name: b, depth: 500, width: 18, ports: 1r1w }\n",
    );
    expect(found).toEqual([
      expect.objectContaining({
        effect: "behaviour",
        confirm: "neither a nor b is read and written in one cycle",
        saved: { EBR: 1 },
        edits: [
          { path: "a.ports", value: "1rw" },
          { path: "b.ports", value: "1rw" },
        ],
      }),
    ]);
  });

  it("stack: two memories behind one port, with the address multiplexer", async () => {
    const found = await rows(
      "stack",
      "generic-10k",
      "memories:\n  - { name: a, depth: 256, width: 20, ports: 1r1w }\n  - { name: b, depth: 256, width: 20, ports: 1r1w }\n",
    );
    expect(found[0]).toMatchObject({
      effect: "behaviour",
      needs: ["an address multiplexer of 2 inputs"],
      confirm: "no two of a and b are accessed in one cycle",
      saved: { RAM10K: 1 },
    });
    expect(found[0]!.moreLuts).toBeGreaterThan(0);
  });

  it("join and stack: each instance with that of another memory", async () => {
    const entries = `memories:
  - { name: a, depth: 256, width: 10, ports: 1r1w, instances: 3 }
  - { name: b, depth: 256, width: 10, ports: 1r1w, instances: 3 }
`;
    for (const kind of ["join", "stack"] as const) {
      const key = kind === "join" ? "lockstep" : "exclusive";
      const found = await rows(kind, "generic-10k", entries);
      const row = found.find(({ title }) => title.startsWith("each instance of a and b "));
      const value = { group: expect.any(String), members: 1 };
      expect(row?.edits).toEqual(["a", "b"].map((name) => ({ path: `${name}.${key}`, value })));
      expect(row?.saved).toEqual({ RAM10K: 3 });
    }
  });

  it("pump: fewer copies at twice the clock, where a block reaches it", async () => {
    const memories = "memories:\n  - { name: a, depth: 1024, width: 18, ports: 2r1w }\n";
    const [row] = await rows("pump", "xc7k325t", `clock: 100 MHz\n${memories}`);
    expect(row).toMatchObject({ effect: "same", edits: [{ path: "a.pump", value: 2 }] });
    expect(row!.needs).toEqual(["blocks and their logic at up to 200 MHz"]);
    expect(row!.saved.BRAM36).toBeGreaterThan(0);
    expect(await rows("pump", "xc7k325t", `clock: 250 MHz\n${memories}`)).toEqual([]);
    expect(await rows("pump", "xc7k325t", memories)).toEqual([]);
  });

  it("realisation: without the pin, and in LUT memory", async () => {
    const [row] = await rows(
      "realisation",
      "generic-10k",
      "memories:\n  - { name: a, depth: 512, width: 20, ports: 2r2w, realisation: exclusive-or }\n",
    );
    // Exclusive-or takes 2 x 1 + 2 x 2 copies, the live-value table 2 x 2.
    expect(row).toMatchObject({
      effect: "same",
      edits: [{ path: "a.realisation", value: null }],
      saved: { RAM10K: 2 },
    });
    const pinned =
      "memories:\n  - { name: a, depth: 64, width: 32, ports: 3r1w, in: [EBR, LUT] }\nsmall: { lut_depth: 8 }\n";
    const found = await rows("realisation", "ecp5-25f", pinned.replace(", in: [EBR, LUT]", ""));
    expect(found).toContainEqual(
      expect.objectContaining({ edits: [{ path: "a.realisation", value: "lut-memory" }] }),
    );
  });

  it("ports: a read port less is a copy less", async () => {
    const found = await rows(
      "ports",
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 512, width: 36, ports: 2r1w }\n",
    );
    expect(found).toContainEqual(
      expect.objectContaining({
        title: "a: ports 1r1w instead of 2r1w",
        effect: "behaviour",
        confirm: "a needs one read a cycle less",
        saved: { EBR: 1 },
      }),
    );
  });

  it("small: deeper than packing moves unasked", async () => {
    const [row] = await rows(
      "small",
      "ecp5-25f",
      "memories:\n  - { name: a, depth: 64, width: 8, ports: 1r1w }\nsmall: { register_bits: 0 }\n",
    );
    expect(row).toMatchObject({ effect: "same", edits: [{ path: "a.in", value: "LUT" }], saved: { EBR: 1 } });
    expect(row!.moreLuts).toBeGreaterThan(0);
  });

  it("pool: one kind of block for another", async () => {
    const found = await rows(
      "pool",
      "xcku5p",
      "memories:\n  - { name: a, depth: 4096, width: 72, ports: 1r1w, in: BRAM36 }\n",
    );
    expect(found).toContainEqual(
      expect.objectContaining({
        effect: "same",
        edits: [{ path: "a.in", value: "URAM" }],
        saved: { BRAM36: 8, URAM: -1 },
      }),
    );
  });
});
