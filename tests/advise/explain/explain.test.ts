import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { explain, MOST_ALTERNATIVES, UnknownMemoryError } from "../../../src/advise/explain/index.js";
import { findDevice, readDesign } from "../../../src/input/index.js";
import { type Design, memoryRequest, type Plan } from "../../../src/model/index.js";
import { NothingLegalError } from "../../../src/plan/nothing-legal.js";
import { pack } from "../../../src/plan/pack.js";
import { anyCase } from "../../support/random-designs.js";

const device = findDevice("ecp5-25f");

/** Invented; `log` is the memory that is asked about. */
function design(log: string): Design {
  const text = `
design: mast
memories:
  - { name: log, ${log} }
  - { name: left, depth: 300, width: 18, ports: 1rw }
  - { name: right, depth: 500, width: 18, ports: 1rw }
`;
  const read = readDesign({ file: "mast.yaml", text });
  if (!read.ok) throw new Error("the design has errors");
  return read.design;
}

/** Differences of a plan from another, as an alternative tells them. */
function differences(plan: Plan, other: Plan) {
  const { luts, registers, wastedBits } = plan.totals;
  const blocks = (other.totals.blocks.EBR ?? 0) - (plan.totals.blocks.EBR ?? 0);
  return {
    blocks: blocks === 0 ? {} : { EBR: blocks },
    luts: other.totals.luts - luts,
    registers: other.totals.registers - registers,
    wastedBits: other.totals.wastedBits - wastedBits,
    weightedBlocks: other.objective.value - plan.objective.value,
    status: other.status,
  };
}

describe("an alternative", () => {
  // What the design file can pin goes another way through the program than what explain leaves of the choices.
  it.each([
    ["LUT memory", "depth: 500, width: 20, ports: 1rw", "in: LUT", "lut-memory"],
    ["registers", "depth: 200, width: 20, ports: 1r1w", "in: registers", "registers"],
    [
      "a table of who wrote last",
      "depth: 400, width: 18, ports: 2r2w",
      "realisation: live-value-table",
      "live-value-table",
    ],
    ["an exclusive-or", "depth: 400, width: 18, ports: 2r2w", "realisation: exclusive-or", "exclusive-or"],
  ])("in %s takes what pinning it in the design takes", async (_, log, pin, realisation) => {
    const { plan, memory, alternatives } = await explain(design(log), device, "log");
    const pinned = differences(plan, await pack(design(`${log}, ${pin}`), device));
    const chosen = memory.layouts.every((layout) => layout.realisation === realisation);
    const best = alternatives.find(({ layouts }) => layouts[0]!.realisation === realisation);
    if (chosen) expect(pinned).toMatchObject({ blocks: {}, luts: 0 });
    else expect(best).toMatchObject(pinned);
  });

  it("of each shape takes what a device with that shape alone takes", async () => {
    const log = "depth: 700, width: 18, ports: 1r1w, in: EBR";
    const { plan, alternatives } = await explain(design(log), device, "log");
    const single = alternatives.filter(
      ({ layouts }) => layouts.length === 1 && layouts[0]!.tiles.length === 1,
    );
    expect(single.map(({ layouts }) => layouts[0]!.tiles[0]!.shape).sort()).toEqual(
      ["16384x1", "2048x9", "4096x4", "512x36", "8192x2"].sort(),
    );
    // 18 bits are two columns of 9, in two blocks where 1024x18 takes one; 18 columns of one bit take 17 blocks more.
    const gain = (shape: string) =>
      single.find(({ layouts }) => layouts[0]!.tiles[0]!.shape === shape)!.blocks.EBR;
    expect([gain("2048x9"), gain("16384x1")]).toEqual([1, 17]);
    expect(plan.memories[0]!.layouts[0]!.tiles[0]!.shape).toBe("1024x18");
  });

  it("that a rule forbids is told as such, after those that compete", async () => {
    const { alternatives } = await explain(design("depth: 500, width: 20, ports: 1rw"), device, "log");
    const decided = alternatives
      .filter(({ status }) => status !== "over-budget")
      .map((each) => each.decidedBy);
    expect(decided.filter((decider) => decider === "rule").length).toBe(2);
    expect(decided.slice(-2)).toEqual(["rule", "rule"]);
  });

  it("is none that the design rules out", async () => {
    const { alternatives } = await explain(
      design("depth: 500, width: 20, ports: 1rw, in: EBR"),
      device,
      "log",
    );
    expect(alternatives.flatMap(({ layouts }) => layouts.map(({ home }) => home))).not.toContain("LUT");
    const pinned = await explain(design("depth: 16, width: 4, ports: 1r1w, in: registers"), device, "log");
    expect(pinned.alternatives).toEqual([]);
  });

  it("may lie beside members of its group", async () => {
    const read = readDesign({
      file: "c.yaml",
      text: "design: c\nstructures:\n  - { kind: cache, name: c, size: 32 KiB, ways: 2, line: 32 B, address: 32, in: EBR }\n",
    });
    if (!read.ok) throw new Error("the design has errors");
    const { plan, beside, alternatives } = await explain(read.design, device, "c.replacement");
    expect(plan.objective.proven).toBe(true);
    const ways = [beside, ...alternatives.map((each) => each.beside)].map((names) => names.join());
    expect(ways).toContain("c.tag");
    expect(ways).toContain("");
  });
});

describe("no alternative beats a proven plan", () => {
  it("in random designs", async () => {
    let told = 0;
    const cases = fc.tuple(anyCase({ most: 3, deepest: 1000 }), fc.nat());
    await fc.assert(
      fc.asyncProperty(cases, async ([{ design: random, device: other }, pick]) => {
        const name = random.requests[pick % random.requests.length]!.name;
        try {
          const { plan, alternatives } = await explain(random, other, name, { deadlineMs: 300 });
          expect(alternatives.length).toBeLessThanOrEqual(MOST_ALTERNATIVES);
          if (!plan.objective.proven) return;
          expect(alternatives.filter(({ decidedBy }) => decidedBy === "better")).toEqual([]);
          told += alternatives.length;
        } catch (error) {
          if (!(error instanceof NothingLegalError)) throw error;
        }
      }),
      { numRuns: 5, seed: 5 },
    );
    expect(told).toBeGreaterThan(10);
  });
});

describe("a remedy", () => {
  it("has none of its part of the waste when packed anew", async () => {
    const { remedies } = await explain(design("depth: 900, width: 20, ports: 2r1w, in: EBR"), device, "log");
    expect(remedies.map(({ part }) => part).sort()).toEqual(["depthPadding", "replication", "unreachable"]);
    for (const { part, bits, geometries } of remedies) {
      expect(bits).toBeGreaterThan(0);
      for (const geometry of geometries) {
        const request = memoryRequest({ name: "log", ...geometry, homes: ["EBR"] });
        const plan = await pack({ ...design("depth: 8, width: 8, ports: 1rw"), requests: [request] }, device);
        expect(plan.totals.waste[part], `${part}: ${JSON.stringify(geometry)}`).toBe(0);
      }
    }
  });

  it.each([
    ["depth", "depth: 900, width: 18, ports: 1r1w", [[1024, 18]]],
    [
      "width",
      "depth: 1024, width: 17, ports: 1r1w",
      [
        [1024, 9],
        [1024, 18],
      ],
    ],
    ["lane", "depth: 1024, width: 16, ports: 1r1w, lane: 8", [[1024, 18]]],
  ])("changes the %s alone", async (_, log, expected) => {
    const { remedies } = await explain(design(`${log}, in: EBR`), device, "log");
    const nearest = remedies[0]!.geometries.map(({ depth, width }) => [depth, width]);
    expect(nearest).toEqual(expected);
  });
});

describe("a name", () => {
  it("that no memory has is told with those that there are", async () => {
    const error = await explain(design("depth: 8, width: 8, ports: 1rw"), device, "lag").catch(
      (e: unknown) => e,
    );
    expect(error).toBeInstanceOf(UnknownMemoryError);
    expect((error as UnknownMemoryError).names).toEqual(["log", "left", "right"]);
  });
});

describe("an explanation", () => {
  it("ends where it is told to", async () => {
    const controller = new AbortController();
    const run = explain(design("depth: 500, width: 20, ports: 1rw"), device, "log", {
      signal: controller.signal,
      onProgress: ({ done }) => {
        if (done === 2) controller.abort(new Error("enough"));
      },
    });
    await expect(run).rejects.toThrow("enough");
  });
});
