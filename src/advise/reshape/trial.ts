import { createHash } from "node:crypto";
import { CandidateMemo } from "../../candidates/index.js";
import {
  checkAgainstDevice,
  type DesignEdit,
  type DesignRead,
  editDesign,
  hasErrors,
  readDesign,
} from "../../input/index.js";
import { type Design, type Device, type Plan, requestBits } from "../../model/index.js";
import { NothingLegalError } from "../../plan/nothing-legal.js";
import { type PackOptions, pack } from "../../plan/pack.js";

/** What a packed design takes, as far as changes are compared by it. */
export interface Figures {
  readonly status: Plan["status"];
  /** Blocks in use by pool. */
  readonly blocks: Readonly<Record<string, number>>;
  /** Blocks over what is available, by pool. */
  readonly over: Readonly<Record<string, number>>;
  /** Blocks weighed as the design weighs them: what packing makes least. */
  readonly weightedBlocks: number;
  readonly luts: number;
  readonly registers: number;
  /** Most blocks one above the other behind a read multiplexer, in any memory. */
  readonly cascade: number;
  /** Bits of all instances of all memories that the design asks for. */
  readonly capacityBits: number;
}

/** What became of a design with some edits made. */
export type Trial =
  | {
      readonly status: "packed";
      readonly read: DesignRead;
      readonly text: string;
      readonly plan: Plan;
      readonly figures: Figures;
    }
  /** The edits leave no design: a rule of the design file forbids them. */
  | { readonly status: "no-design" }
  /** A memory has no legal home on the device. */
  | { readonly status: "homeless"; readonly reason: string };

/** Makes edits, reads the result and packs the whole of it. Equal edits and equal designs are packed once. */
export type Packer = (edits: readonly DesignEdit[]) => Promise<Trial>;

/** All that packing depends on, without where it is written. */
function identity(design: Design): string {
  const requests = design.requests.map(({ source, formula, ...rest }) => rest);
  const { clockMHz, limits, weights, small } = design;
  return createHash("sha256")
    .update(JSON.stringify({ requests, clockMHz, limits, weights, small }))
    .digest("base64");
}

function figuresOf(design: Design, plan: Plan): Figures {
  const { totals } = plan;
  return {
    status: plan.status,
    blocks: totals.blocks,
    over: totals.over,
    weightedBlocks: plan.objective.value,
    luts: totals.luts,
    registers: totals.registers,
    cascade: Math.max(0, ...plan.memories.map(({ cascade }) => cascade)),
    capacityBits: design.requests.reduce((sum, request) => sum + requestBits(request) * request.instances, 0),
  };
}

/** Where the same design comes again, its plan is taken from here. */
type Known = Map<string, Promise<Plan | NothingLegalError>>;

async function packed(known: Known, design: Design, device: Device, options: PackOptions) {
  const key = identity(design);
  let plan = known.get(key);
  if (plan === undefined) {
    plan = pack(design, device, options).catch((error: unknown) => {
      if (error instanceof NothingLegalError) return error;
      throw error;
    });
    known.set(key, plan);
  }
  return plan;
}

/** A packer of changes of one design file on one device. Throws what {@link pack} throws, but for homeless memories. */
export function packerOf(source: DesignRead["source"], device: Device, options: PackOptions): Packer {
  const memo = options.memo ?? new CandidateMemo();
  const plans: Known = new Map();
  const trials = new Map<string, Promise<Trial>>();
  const attempt = async (edits: readonly DesignEdit[]): Promise<Trial> => {
    const edited = editDesign(source.text, edits);
    if (!edited.ok) return { status: "no-design" };
    const read = readDesign({ ...source, text: edited.text });
    if (!read.ok || hasErrors(checkAgainstDevice(read, device))) return { status: "no-design" };
    const plan = await packed(plans, read.design, device, { ...options, memo });
    if (plan instanceof NothingLegalError) return { status: "homeless", reason: plan.message };
    return { status: "packed", read, text: edited.text, plan, figures: figuresOf(read.design, plan) };
  };
  return (edits) => {
    const key = JSON.stringify(edits);
    let trial = trials.get(key);
    if (trial === undefined) {
      trial = attempt(edits);
      trials.set(key, trial);
    }
    return trial;
  };
}
