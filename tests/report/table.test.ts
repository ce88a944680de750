import { stripVTControlCharacters } from "node:util";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Plan, type PlanMemory, REALISATIONS } from "../../src/model/index.js";
import { ESTIMATE_NOTE, planTable } from "../../src/report/index.js";
import * as made from "./plans.js";

/** Terminal columns: a CJK character takes two. */
function columns(line: string): number {
  return [...line].reduce((sum, character) => sum + (/[\u3000-\u9fff]/.test(character) ? 2 : 1), 0);
}

const letters = fc.constantFrom(..."abcXYZ0189._-/ äßλЖ貓\n\u001b\u202e");
const name = fc.array(letters, { minLength: 1, maxLength: 80 }).map((list) => list.join(""));
const amount = fc.oneof(fc.nat(40), fc.nat(100_000), fc.nat(2 ** 40));
const part = fc.record({
  replication: amount,
  widthPadding: amount,
  depthPadding: amount,
  unreachable: amount,
});

const layout = fc
  .record({ home: fc.constantFrom("BLK", "LUT", "registers"), count: amount, deep: amount, copies: amount })
  .chain(({ home, count, deep, copies }) =>
    fc.constantFrom(...REALISATIONS).map((realisation) =>
      made.layout({
        home,
        copies,
        realisation,
        instances: [0, count],
        tiles: home === "BLK" ? [{ kind: "BLK", shape: `${count + 1}x${deep + 1}`, count, deep }] : [],
      }),
    ),
  );

const memory: fc.Arbitrary<PlanMemory> = fc
  .record({
    name,
    depth: amount,
    width: amount,
    ports: fc.record({ read: fc.nat(99), write: fc.nat(99), readWrite: fc.nat(99) }),
    instances: amount,
    blocks: fc.dictionary(name, amount, { maxKeys: 2 }),
    requestedBits: amount,
    waste: part,
    cascade: amount,
    luts: amount,
    layouts: fc.array(layout, { minLength: 1, maxLength: 3 }),
  })
  .map((fields) =>
    made.memory({ ...fields, wastedBits: Object.values(fields.waste).reduce((a, b) => a + b) }),
  );

const plan: fc.Arbitrary<Plan> = fc
  .record({
    design: name,
    device: name,
    memories: fc.array(memory, { maxLength: 6 }),
    status: fc.constantFrom("optimal" as const, "feasible" as const, "over-budget" as const),
    objective: fc.record({
      value: amount,
      bound: amount,
      proven: fc.boolean(),
      nothingFits: fc.boolean(),
      lutsBound: fc.option(amount),
    }),
    warnings: fc.array(fc.record({ subject: name, message: name }), { maxLength: 2 }),
    pools: fc.dictionary(name, fc.record({ used: amount, available: amount, floor: amount }), { maxKeys: 3 }),
    luts: amount,
  })
  .map(({ pools, luts, ...fields }) => {
    const of = (key: "used" | "available" | "floor") =>
      Object.fromEntries(Object.entries(pools).map(([pool, figures]) => [pool, figures[key]]));
    return made.plan({
      ...fields,
      totals: { blocks: of("used"), available: of("available"), floorBlocks: of("floor"), luts },
    });
  });

describe("the table of a plan", () => {
  it("fits 100 columns whatever the names and the figures, with and without colour", () => {
    fc.assert(
      fc.property(plan, fc.boolean(), (any, color) => {
        for (const line of stripVTControlCharacters(planTable(any, { color })).split("\n")) {
          expect(columns(line), line).toBeLessThanOrEqual(100);
        }
      }),
      { numRuns: 150 },
    );
  });

  it("fits a wider terminal and uses it", () => {
    const long = made.plan({ memories: [made.memory({ name: "a_rather_long_name_of_a_memory_here" })] });
    expect(planTable(long)).not.toContain("a_rather_long_name_of_a_memory_here");
    expect(planTable(long, { width: 140 })).toContain("a_rather_long_name_of_a_memory_here");
  });

  it("has no control characters but line ends without colour, also where names hold some", () => {
    fc.assert(
      fc.property(plan, (any) => {
        expect(planTable(any).replaceAll("\n", "")).not.toMatch(/\p{Cc}/u);
      }),
      { numRuns: 50 },
    );
  });

  it("says the same with colour as without", () => {
    const any = made.plan({ memories: [made.REGISTER_FILE, made.LOG], status: "feasible" });
    const coloured = planTable(any, { color: true });
    expect(coloured).not.toBe(planTable(any));
    expect(stripVTControlCharacters(coloured)).toBe(planTable(any));
  });

  it("ends with the caution", () => {
    const text = planTable(made.plan({}));
    expect(text.replace(/\n/g, " ").trimEnd().endsWith(ESTIMATE_NOTE)).toBe(true);
  });

  it("says per memory how it is laid out and what it wastes", () => {
    const text = planTable(made.plan({ memories: [made.LOG] }));
    const row = text.split("\n").find((line) => line.startsWith("event_log"))!;
    expect(row.split(/ {2,}/)).toEqual([
      "event_log",
      "3 x 1024x18, 3 deep",
      "3",
      "52.7K",
      ".",
      ".",
      "2%",
      ".",
      "3",
      "36",
    ]);
    expect(text).toMatch(/^ 3000x18 1r1w +BLK +of 54K$/m);
  });

  it("names LUT memory, registers, schemes, instances laid out apart and shared blocks in words", () => {
    const memory = made.memory({
      instances: 6,
      layouts: [
        made.layout({ instances: [0, 1], realisation: "live-value-table", copies: 8 }),
        made.layout({ instances: [2, 2], realisation: "pumped", pump: 2, copies: 2 }),
        made.layout({ instances: [3, 4], home: "LUT", realisation: "lut-memory", copies: 2, tiles: [] }),
        made.layout({ instances: [5, 5], home: "registers", realisation: "registers", tiles: [] }),
      ],
    });
    const shared = made.block([made.tenant({}), made.tenant({ memory: "other" })]);
    const text = planTable(made.plan({ memories: [memory], blocks: [shared] }));
    const at = text
      .split("\n")
      .find((line) => line.includes("laid out as"))!
      .indexOf("laid out as");
    const cells = text.split("\n").map((line) => line.slice(at).split(/ {2,}/)[0]);
    expect(cells.join("|")).toContain(
      "2 of 6:|1 x 1024x18|live-value table|8 copies|" +
        "1 of 6:|1 x 1024x18|at 2 x clock|2 copies|" +
        "2 of 6:|LUT memory|2 copies|1 of 6:|registers|shares a block",
    );
  });
});

describe("the totals", () => {
  const OPEN = { value: 0, bound: 0, proven: false, nothingFits: false, lutsBound: null };

  it("say that it fits and is proven", () => {
    const text = planTable(made.plan({ objective: { ...OPEN, value: 4, bound: 4, proven: true } }));
    expect(text).toContain("Fits. No plan takes less: proven optimal (objective 4, lower bound 4).");
    expect(text).toMatch(/^BLK +1 +10 +10% +1$/m);
  });

  it("say by how much each budget is overrun", () => {
    const totals = {
      blocks: { BLK: 12.5 },
      over: { BLK: 2.5 },
      luts: 1200,
      lutMemory: 70,
      lutMemoryAvailable: 64,
    };
    const text = planTable(made.plan({ status: "over-budget", totals }));
    expect(text).toContain("Does not fit: 2.5 BLK, 200 LUTs and 6 LUTs as memory too many.");
    expect(text).toContain("No plan overruns less: proven optimal");
    expect(text).toMatch(/^BLK +12.5 +10 +125% +1 +2.5 over$/m);
  });

  it("give the gap where the optimum is not proven", () => {
    const objective = { ...OPEN, value: 100, bound: 97 };
    const text = planTable(made.plan({ status: "feasible", objective }));
    expect(text).toContain("Fits. Not proven optimal: objective 100, lower bound 97, gap 3 %.");
  });

  it("tell a bound on the LUTs where only these are unproven", () => {
    const objective = { ...OPEN, value: 100, bound: 100, lutsBound: 1100 };
    const plan = made.plan({ status: "feasible", objective, totals: { luts: 1200 } });
    const text = planTable(plan).replace(/\s+/g, " ");
    expect(text).toContain("(objective 100, lower bound 100), its LUTs are not: 1,200, lower bound 1,100.");
  });

  it("tell whether nothing fits or nothing was found that does", () => {
    const totals = { blocks: { BLK: 12 }, over: { BLK: 2 } };
    const textOf = (nothingFits: boolean, bound = 97) => {
      const objective = { ...OPEN, value: 100, bound, nothingFits };
      return planTable(made.plan({ status: "over-budget", totals, objective })).replace(/\s+/g, " ");
    };
    expect(textOf(true)).toContain(
      "Does not fit: 2 BLK too many. That no plan fits is proven; that none overruns less is not.",
    );
    expect(textOf(true, 100)).toContain(
      "Does not fit: 2 BLK too many. Not proven optimal: fewest blocks are proven",
    );
    expect(textOf(false)).toContain("No plan that fits was found: 2 BLK too many in the best so far.");
  });

  it("do not claim a gap where only the logic is unproven", () => {
    const objective = { ...OPEN, value: 100, bound: 100 };
    const text = planTable(made.plan({ status: "feasible", objective })).replace(/\s+/g, " ");
    expect(text).toContain("fewest blocks are proven (objective 100, lower bound 100), the logic is not");
  });
});
