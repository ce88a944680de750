import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/index.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { OBJECTIVES, packProgram, type Stage, spendingOf, stageProgram } from "../../src/program/index.js";
import { objectiveValue, violatedRows } from "../../src/program/integer-program.js";
import { components } from "../../src/solve/components.js";
import { partsOf } from "../../src/solve/parts.js";
import { valuesOf } from "../../src/solve/values-of.js";
import { designOf } from "../support/random-designs.js";

const DEVICE = findDevice("ecp5-85f");

const memory = fc.record({
  depth: fc.integer({ min: 20, max: 3000 }),
  width: fc.integer({ min: 1, max: 40 }),
  ports: fc.constantFrom("1rw", "1r1w"),
  instances: fc.integer({ min: 1, max: 3 }),
  pump: fc.constantFrom(null, 2),
});

const STAGE: Stage = {
  minimise: [],
  settled: [],
  atLeast: null,
  budgets: "none",
  owners: null,
  columns: null,
};

/** Memories of which some are pumped, a large exclusive group, and any choice of a column for each. */
const choice = fc
  .tuple(fc.array(memory, { minLength: 2, maxLength: 6 }), fc.boolean(), fc.array(fc.nat()))
  .map(([memories, grouped, picks]) => {
    const requests = memories.map(({ depth, width, ports, instances, pump }, index) =>
      memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)!, instances, pump }),
    );
    const tables = Array.from({ length: grouped ? 7 : 0 }, (_, index) =>
      memoryRequest({
        name: `t${index}`,
        depth: 100 * (index + 1),
        width: 9 + index,
        ports: parsePorts("1rw")!,
        exclusive: { group: "tables", members: 1 },
      }),
    );
    const design = designOf([...requests, ...tables], {
      clockMHz: 50,
      small: { lutDepth: 0, registerBits: 0 },
    });
    const pack = packProgram(choicesOf(design, DEVICE), design, DEVICE);
    const counts = pack.columns.map(() => 0);
    let turn = 0;
    for (const { items, requests } of partsOf(pack, components(pack))) {
      const list = requests[0]!;
      for (let item = 0; item < items; item++)
        counts[list[(picks[turn++ % picks.length] ?? 0) % list.length]!]! += 1;
    }
    return { pack, counts };
  });

describe("the values of a program's variables for a choice", () => {
  it("keep all rows, and are worth what the choice is", () => {
    let patterned = 0;
    fc.assert(
      fc.property(choice, fc.constantFrom(...OBJECTIVES), ({ pack, counts }, objective) => {
        const staged = stageProgram(pack, { ...STAGE, minimise: [{ objective, weight: 1 }] });
        const values = valuesOf(pack, staged, { counts, patterns: null })!;
        if (staged.patternOf.some((entry, variable) => entry !== null && values[variable]! > 0))
          patterned += 1;
        expect(violatedRows(staged.program, values)).toEqual([]);
        expect(objectiveValue(staged.program, values)).toBe(spendingOf(pack, counts).objectives[objective]);
      }),
      { numRuns: 100 },
    );
    expect(patterned).toBeGreaterThan(20);
  });

  it("have what it overruns, where budgets may be overrun", () => {
    let over = 0;
    fc.assert(
      fc.property(choice, fc.integer({ min: 1, max: 30 }), ({ pack: whole, counts }, tenths) => {
        const { spent } = spendingOf(whole, counts);
        const limit = (index: number) => Math.floor((spent[index]! * tenths) / 20);
        const pack = {
          ...whole,
          budgets: whole.budgets.map((each, index) => ({ ...each, limit: limit(index) })),
        };
        const minimise = [{ objective: "overrun", weight: 1 }] as const;
        const staged = stageProgram(pack, { ...STAGE, minimise, budgets: "soft" });
        const values = valuesOf(pack, staged, { counts, patterns: null })!;
        const { overrun } = spendingOf(pack, counts);
        expect(violatedRows(staged.program, values)).toEqual([]);
        expect(objectiveValue(staged.program, values)).toBe(overrun);
        if (overrun > 0) over += 1;
      }),
      { numRuns: 60 },
    );
    expect(over).toBeGreaterThan(15);
  });

  it("are none where a column that the choice takes is left out, or it is dearer than what is settled", () => {
    fc.assert(
      fc.property(choice, fc.nat(), ({ pack, counts }, which) => {
        const used = counts.flatMap((items, column) => (items > 0 ? [column] : []));
        const columns = new Set(pack.columns.keys());
        columns.delete(used[which % used.length]!);
        const held = { counts, patterns: null };
        const minimise = [{ objective: "luts", weight: 1 }] as const;
        expect(valuesOf(pack, stageProgram(pack, { ...STAGE, minimise, columns }), held)).toBeNull();
        const { blocks } = spendingOf(pack, counts).objectives;
        const settled = (value: number) => [{ objective: "blocks", value }] as const;
        const at = (value: number) =>
          valuesOf(pack, stageProgram(pack, { ...STAGE, minimise, settled: settled(value) }), held);
        expect(at(blocks)).not.toBeNull();
        if (blocks > 0) expect(at(blocks - 1)).toBeNull();
      }),
      { numRuns: 40 },
    );
  });
});
