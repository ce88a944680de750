import type { Design, Device } from "../../model/index.js";
import type { PackPool } from "./pack-pool.js";
import type { PackResult, PackTask } from "./pack-task.js";
import { subProblem, unitsOf } from "./sub-problem.js";
import { fits, logicFits, sumOf, type Usage } from "./usage.js";

/** What a design takes on a device. */
export type Packed =
  | {
      readonly status: "optimal" | "feasible" | "over-budget";
      readonly usage: Usage;
      /** A sentence for each solving engine that failed, each once. */
      readonly failures: readonly string[];
    }
  | { readonly status: "nothing-legal"; readonly memory: string; readonly reason: string };

/**
 * Packs designs that have parts in common: each distinct part once. A part is a memory or group that shares no block
 * with others, or all that may share together. Parts are packed as if each had the device for itself. Every objective
 * is a sum over parts, so where the sum keeps the budgets no plan of the whole is better. Where it is over the budget of
 * blocks alone, and the device has one pool of them, no plan overruns less, since none has fewer blocks. In all other
 * cases the whole design is packed.
 */
export class PartPacker {
  private readonly known = new Map<string, Promise<PackResult>>();

  constructor(
    private readonly pool: PackPool,
    private readonly options: PackTask["options"],
  ) {}

  /** Distinct sub-problems so far. */
  get distinct(): number {
    return this.known.size;
  }

  /** Packs a design. Rejects where the pool is closed. */
  async pack(design: Design, device: Device): Promise<Packed> {
    const units = unitsOf(design);
    const alone = await Promise.all(units.map((unit) => this.part(design, unit, device, false)));
    const homeless = alone.findIndex(({ status }) => status === "nothing-legal");
    if (homeless >= 0) return this.nothingLegal(design, units[homeless]!, alone[homeless]!);
    const sharing = units.filter((_, index) => alone[index]!.status === "shares").flat();
    const together = sharing.length === 0 ? [] : [await this.part(design, sharing, device, true)];
    if (together[0]?.status === "nothing-legal") return this.nothingLegal(design, sharing, together[0]);
    const packed = [...alone, ...together].filter((result) => result.status === "packed");
    const usage = sumOf(packed.map((result) => result.usage));
    if (!packed.some(({ overBudget }) => overBudget)) {
      const failures = [...new Set(packed.flatMap((result) => result.failures))];
      if (fits(usage)) return { status: usage.proven ? "optimal" : "feasible", usage, failures };
      const fewestBlocks = usage.proven && device.pools.length === 1;
      if (fewestBlocks && logicFits(usage)) return { status: "over-budget", usage, failures };
    }
    const all = design.requests.map((_, index) => index);
    const whole = await this.part(design, all, device, true);
    if (whole.status === "nothing-legal") return this.nothingLegal(design, all, whole);
    if (whole.status === "shares") throw new Error("a whole design was left to a larger task");
    const status = whole.overBudget ? "over-budget" : whole.usage.proven ? "optimal" : "feasible";
    return { status, usage: whole.usage, failures: whole.failures };
  }

  private part(
    design: Design,
    chosen: readonly number[],
    device: Device,
    mayShare: boolean,
  ): Promise<PackResult> {
    const { design: part, key } = subProblem(design, chosen, device);
    const id = `${mayShare} ${key}`;
    let result = this.known.get(id);
    if (result === undefined) {
      result = this.pool.run({ design: part, device, options: this.options, mayShare });
      this.known.set(id, result);
    }
    return result;
  }

  private nothingLegal(design: Design, chosen: readonly number[], result: PackResult): Packed {
    if (result.status !== "nothing-legal") throw new Error("expected a memory without a home");
    const index = chosen.toSorted((a, b) => a - b)[result.request]!;
    return { status: "nothing-legal", memory: design.requests[index]!.name, reason: result.reason };
  }
}
