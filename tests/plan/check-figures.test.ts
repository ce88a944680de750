import fc from "fast-check";
import { beforeAll, describe, expect, it } from "vitest";
import { findDevice, readDesign } from "../../src/input/index.js";
import type { Device, Plan } from "../../src/model/index.js";
import { checkFigures } from "../../src/plan/check-figures.js";
import { NothingLegalError } from "../../src/plan/nothing-legal.js";
import { pack } from "../../src/plan/pack.js";
import { anyCase } from "../support/random-designs.js";

/** Invented: folded blocks, a shared block, a lockstep group, copies, LUT memory, registers. */
const TEXT = `
design: mixed
structures:
  - { kind: cache, name: c, size: 8 KiB, ways: 2, line: 32 B, address: 32, access: 32, lane: 8, instances: 4 }
  - { kind: register-file, name: regs, entries: 32, width: 32, reads: 2, read: async }
  - { kind: return-stack, name: returns, entries: 8, width: 30, in: registers }
memories:
  - { name: left, depth: 300, width: 18, ports: 1rw }
  - { name: right, depth: 500, width: 18, ports: 1rw }
  - { name: table, depth: 600, width: 16, ports: 2r1w }
  - { name: wide, depth: 4096, width: 8, ports: 1r1w, read_width: 32 }
`;

const device = findDevice("ecp5-25f");
let plan: Plan;
beforeAll(async () => {
  const read = readDesign({ file: "mixed.yaml", text: TEXT });
  if (!read.ok) throw new Error("the design has errors");
  plan = await pack(read.design, device);
});

/** Every number of a plan, as a path of keys. */
function numbersIn(value: unknown, path: readonly string[] = []): (readonly string[])[] {
  if (typeof value === "number") return [path];
  if (typeof value !== "object" || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => numbersIn(inner, [...path, key]));
}

/** The plan with one number changed. */
function changed(path: readonly string[], by: number): Plan {
  const copy = structuredClone(plan);
  // biome-ignore lint/suspicious/noExplicitAny: the walk goes through mappings and lists alike
  const holder = path.slice(0, -1).reduce((inner: any, key) => inner[key], copy);
  holder[path.at(-1)!] += by;
  return copy;
}

/** The keys of numbers that may be changed unseen: list positions and names of pools left out. */
function unseen(known: Device | null): string[] {
  const free = numbersIn(plan).filter((path) => checkFigures(changed(path, 1), known).length === 0);
  const key = (path: readonly string[]) => path.filter((word) => !/^\d+$|^EBR$/.test(word)).join(".");
  return [...new Set(free.map(key))].sort();
}

describe("the figures of a plan", () => {
  it("are found right, with the device and without", () => {
    expect(plan.blocks.some(({ repeat }) => repeat > 1)).toBe(true);
    expect(checkFigures(plan, device)).toEqual([]);
    expect(checkFigures(plan, null)).toEqual([]);
  });

  it("cannot be changed unseen where the device is known, but for what nothing tells", () => {
    // Ports, lanes and pumping are what requests tell; runs and words have room to move in a block of one's own.
    expect(unseen(device)).toEqual([
      "blocks.pump",
      "blocks.tenants.lane",
      "blocks.tenants.runs.at",
      "blocks.tenants.turns",
      "blocks.tenants.word",
      "memories.lane",
      "memories.ports.read",
      "memories.ports.readWrite",
      "memories.ports.write",
      "solver.milliseconds",
    ]);
  });

  it("cannot be changed unseen where sums tell, though the device is not known", () => {
    const free = unseen(null);
    for (const key of [
      "totals.blocks",
      "totals.luts",
      "totals.wastedBits",
      "memories.depth",
      "blocks.repeat",
    ]) {
      expect(free).not.toContain(key);
    }
  });

  it("are found right in the plans of random designs", async () => {
    let packed = 0;
    await fc.assert(
      fc.asyncProperty(anyCase({}), async ({ design, device: other }) => {
        try {
          const made = await pack(design, other, { deadlineMs: 100 });
          expect(checkFigures(made, other)).toEqual([]);
          expect(checkFigures(made, null)).toEqual([]);
          packed += 1;
        } catch (error) {
          if (!(error instanceof NothingLegalError)) throw error;
        }
      }),
      { numRuns: 25, seed: 11 },
    );
    expect(packed).toBeGreaterThan(8);
  });
});
