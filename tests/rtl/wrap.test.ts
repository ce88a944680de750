import { describe, expect, it } from "vitest";
import { findDevice } from "../../src/input/index.js";
import { type Device, type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { type WrapOutcome, wrap } from "../../src/rtl/index.js";
import { boundless, designOf } from "../support/random-designs.js";

type Fields = Omit<Partial<MemoryRequest>, "ports"> & { readonly ports?: string };

async function wrapped(memories: readonly Fields[], device: Device): Promise<WrapOutcome> {
  const requests = memories.map(({ ports = "1rw", ...fields }, index) =>
    memoryRequest({ name: `m${index}`, depth: 512, width: 20, ...fields, ports: parsePorts(ports)! }),
  );
  const design = designOf(requests, { name: "w", clockMHz: 50 });
  return wrap(await pack(design, device), design, device);
}

const GENERIC = findDevice("generic-10k");
const ECP5 = findDevice("ecp5-85f");

describe("a collision", () => {
  it.each<[string, Device, Fields, string | null]>([
    ["new at the port that writes", GENERIC, { collision: "new" }, null],
    ["old at the port that writes", GENERIC, { collision: "old" }, null],
    ["old at the other port", GENERIC, { ports: "1r1w", collision: "old" }, null],
    [
      "new at the other port",
      GENERIC,
      { ports: "1r1w", collision: "new" },
      "shows old or undefined at one port",
    ],
    [
      "old where the port shows new",
      ECP5,
      { depth: 2000, width: 9, collision: "old" },
      "shows hold or new for a word",
    ],
    [
      "old where the other port shows nothing",
      ECP5,
      { ports: "1r1w", collision: "old" },
      "shows undefined at one port",
    ],
    ["old on two clocks", GENERIC, { ports: "1r1w", clocks: 2, collision: "old" }, "two clocks"],
    [
      "old through exclusive-or",
      GENERIC,
      { ports: "2r2w", realisation: "exclusive-or", collision: "old" },
      "exclusive-or",
    ],
    [
      "old through a live-value table",
      GENERIC,
      { ports: "2r2w", realisation: "live-value-table", collision: "old" },
      null,
    ],
    [
      "new through a live-value table",
      GENERIC,
      { ports: "2r2w", realisation: "live-value-table", collision: "new" },
      "who wrote before",
    ],
    ["old in LUT memory", ECP5, { depth: 16, homes: ["LUT"], collision: "old" }, null],
    [
      "new in registers",
      GENERIC,
      { depth: 16, homes: ["registers"], collision: "new" },
      "registers shows the old word",
    ],
    ["new of a ROM", GENERIC, { ports: "1r", collision: "new" }, null],
  ])("%s", async (_, device, memory, reason) => {
    const outcome = await wrapped([memory], device);
    if (reason === null) expect(outcome.status).toBe("wrapped");
    else {
      if (outcome.status === "wrapped") throw new Error("it was wrapped");
      expect(outcome.problems).toHaveLength(1);
      expect(outcome.problems[0]!.message).toContain(reason);
    }
  });
});

describe("ports that write on two clocks", () => {
  it("are served by a block with both, and refused otherwise", async () => {
    expect((await wrapped([{ ports: "2rw", clocks: 2 }], GENERIC)).status).toBe("wrapped");
    const outcome = await wrapped([{ ports: "3rw", clocks: 2 }], GENERIC);
    if (outcome.status === "wrapped") throw new Error("it was wrapped");
    expect(outcome.problems[0]!.message).toContain("two clocks need one block with both ports");
  });
});

describe("many instances", () => {
  it("cost modules for the ways in which they are laid out, not for each", async () => {
    const count = 100_001;
    const memories: Fields[] = [
      { depth: 200, instances: count },
      { depth: 300, instances: count - 1 },
      { depth: 512, ports: "1r1w", instances: count },
    ];
    const outcome = await wrapped(memories, boundless(GENERIC));
    if (outcome.status === "refused") throw new Error(JSON.stringify(outcome.problems));
    const { modules } = outcome.manifest;
    expect(modules.length).toBeLessThan(6);
    const served = (memory: string) =>
      modules.reduce((sum, { memories: held, instances }) => {
        const times = instances.reduce((total, run) => total + run.count, 0);
        return sum + times * held.filter((one) => one.memory === memory).length;
      }, 0);
    expect([served("m0"), served("m1"), served("m2")]).toEqual([count, count - 1, count]);
  });
});
