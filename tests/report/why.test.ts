import { describe, expect, it } from "vitest";
import type { PlanMemory } from "../../src/model/index.js";
import { worstMemories } from "../../src/report/index.js";
import * as made from "./plans.js";

function sentence(memory: PlanMemory, tenants = [made.tenant({ memory: memory.name })]): string {
  const [worst] = worstMemories(made.plan({ memories: [memory], blocks: [made.block(tenants)] }));
  return worst!.sentence;
}

describe("the reason why a memory wastes", () => {
  it("is empty words, with copies and depths", () => {
    expect(sentence(made.REGISTER_FILE)).toBe(
      "xregs keeps 2 copies of 32 words in blocks 512 deep: 94% of the words are empty.",
    );
  });

  it("is empty words at the top of a stack of blocks", () => {
    expect(sentence(made.LOG)).toBe(
      "event_log keeps 3,000 words in 3 blocks of 1,024 words each: 2% of the words are empty.",
    );
  });

  it("is a word narrower than the block", () => {
    expect(sentence(made.TAGS)).toBe(
      "l1d.tag puts words of 21 bits into blocks 36 bits wide: 42% of each word is empty.",
    );
  });

  it("is a word narrower than the blocks side by side", () => {
    const tiles = [{ kind: "BLK", shape: "1024x18", count: 2, deep: 1 }];
    const wide = made.memory({
      name: "samples",
      width: 20,
      blocks: { BLK: 2 },
      requestedBits: 20480,
      wastedBits: 16384,
      waste: { replication: 0, widthPadding: 16384, depthPadding: 0, unreachable: 0 },
      layouts: [made.layout({ stored: { depth: 1024, width: 20 }, tiles })],
    });
    expect(sentence(wide)).toBe(
      "samples puts words of 20 bits into 2 blocks of 18 bits each: 44% of each word is empty.",
    );
  });

  it("is a write lane narrower than the hardware's", () => {
    expect(sentence(made.BYTES, [made.tenant({ memory: "mailbox", lane: 9 })])).toBe(
      "mailbox puts write lanes of 8 bits into hardware lanes of 9: 11% of the bits it holds are empty bits of words.",
    );
  });

  it("is copies for ports", () => {
    const memory = made.memory({
      name: "history",
      ports: { read: 3, write: 1, readWrite: 0 },
      copies: 3,
      requestedBits: 18432,
      wastedBits: 36864,
      waste: { replication: 36864, widthPadding: 0, depthPadding: 0, unreachable: 0 },
      layouts: [made.layout({ copies: 3, realisation: "replication" })],
    });
    expect(sentence(memory)).toBe(
      "history keeps 3 copies of the same 1024 x 18 bits for its 3r1w ports: 67% of the bits it holds are copies.",
    );
  });

  it("is bits without an address", () => {
    const memory = made.memory({
      name: "image",
      depth: 16384,
      width: 1,
      requestedBits: 16384,
      wastedBits: 2048,
      waste: { replication: 0, widthPadding: 0, depthPadding: 0, unreachable: 2048 },
      layouts: [
        made.layout({
          stored: { depth: 16384, width: 1 },
          tiles: [{ kind: "BLK", shape: "16384x1", count: 1, deep: 1 }],
        }),
      ],
    });
    expect(sentence(memory)).toBe(
      "image uses blocks as 16384x1, which leaves 11% of the bits it holds without an address.",
    );
  });

  it("does not speak of whole blocks where the block is shared", () => {
    const tenants = [made.tenant({ memory: "l1d.tag", bits: [0, 20] }), made.tenant({ memory: "other" })];
    expect(sentence(made.TAGS, tenants)).toBe(
      "l1d.tag lays 512 x 21 bits out as 1 x 512x36: 42% of the bits it holds are empty bits of words.",
    );
  });
});

describe("the memories that waste most", () => {
  it("come worst first, three at most, and none that wastes nothing", () => {
    const names = (memories: readonly PlanMemory[]) =>
      worstMemories(made.plan({ memories })).map(({ memory }) => memory);
    const { LOG, BYTES, TAGS, REGISTER_FILE } = made;
    expect(names([LOG, BYTES, TAGS, REGISTER_FILE])).toEqual(["xregs", "l1d.tag", "mailbox"]);
    expect(names([made.memory({}), LOG])).toEqual(["event_log"]);
  });
});
