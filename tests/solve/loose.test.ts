import fc from "fast-check";
import { expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/index.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { packProgram, stageProgram } from "../../src/program/index.js";
import { violatedRows } from "../../src/program/integer-program.js";
import { solveWith } from "../../src/solve/engine.js";
import { designOf } from "../support/random-designs.js";

const DEVICE = findDevice("xc7z020");

const memory = fc.record({
  depth: fc.integer({ min: 20, max: 1500 }),
  width: fc.integer({ min: 1, max: 40 }),
  ports: fc.constantFrom("1rw", "1r1w", "2r1w"),
  instances: fc.integer({ min: 1, max: 3 }),
});

it("counts that highs leaves to the rows are whole, and the fewest blocks the same", async () => {
  let counted = 0;
  await fc.assert(
    fc.asyncProperty(fc.array(memory, { minLength: 2, maxLength: 8 }), async (memories) => {
      const requests = memories.map(({ depth, width, ports, instances }, index) =>
        memoryRequest({ name: `m${index}`, depth, width, ports: parsePorts(ports)!, instances }),
      );
      const design = designOf(requests, { small: { lutDepth: 0, registerBits: 0 } });
      const { program } = stageProgram(packProgram(choicesOf(design, DEVICE), design, DEVICE), {
        minimise: [{ objective: "blocks", weight: 1 }],
        settled: [],
        atLeast: null,
        budgets: "none",
        owners: null,
        columns: null,
      });
      const follows = [...program.variables.keys()].filter((index) => program.variables[index]!.follows);
      counted += follows.length;
      const whole = await solveWith("highs", program, { deadlineMs: 20_000 });
      const loose = await solveWith("highs", program, { deadlineMs: 20_000, loose: true });
      expect(whole.status).toBe("optimal");
      expect(loose.status).toBe("optimal");
      if (whole.status !== "optimal" || loose.status !== "optimal") return;
      expect(loose.value).toBe(whole.value);
      expect(violatedRows(program, loose.x)).toEqual([]);
      // With all others as they are, each can have no other value.
      for (const variable of follows) {
        for (const other of [-1, 1]) {
          const x = loose.x.map((items, index) => (index === variable ? items + other : items));
          expect(violatedRows(program, x)).not.toEqual([]);
        }
      }
    }),
    { numRuns: 60 },
  );
  expect(counted).toBeGreaterThan(40);
}, 60_000);
