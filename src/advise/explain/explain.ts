import {
  type Alternative,
  alternativesOf,
  CandidateMemo,
  choicesOf,
  roomOf,
} from "../../candidates/index.js";
import type { Design, Device, Layout, MemoryRequest, Plan, PlanMemory } from "../../model/index.js";
import { NothingLegalError } from "../../plan/nothing-legal.js";
import { type Packed, type PackOptions, packChoices } from "../../plan/pack.js";
import { unitWeights } from "../../program/weights.js";
import { type Remedy, remediesOf } from "./remedies.js";

/** How to explain. */
export interface ExplainOptions extends Omit<PackOptions, "memo"> {
  /** Called before each alternative is packed. */
  readonly onProgress?: ((progress: { readonly done: number; readonly total: number }) => void) | undefined;
}

/** What decides between the plan and an alternative, in the order in which packing decides. */
export type Decider =
  /** The rule for small memories: the memory leaves block RAM only where the design tells it to, with `in`. */
  | "rule"
  /** The alternative does not fit. */
  | "fit"
  /** Blocks by weight. */
  | "blocks"
  | "luts"
  /** Blocks in cascade. */
  | "cascade"
  /** Nothing: the alternative is as good. */
  | "none"
  /** The alternative is better, which only a plan that is not proven leaves open. */
  | "better";

/** Another way to lay out a memory, and what the whole design takes with it. Differences are alternative minus plan. */
export interface BeatenAlternative {
  /** The memory's layouts in the plan that was packed with the alternative. */
  readonly layouts: readonly Layout[];
  /** Memories that it shares blocks with there, in the order of the design. */
  readonly beside: readonly string[];
  readonly status: Plan["status"];
  readonly proven: boolean;
  readonly decidedBy: Decider;
  /** Blocks by pool; pools without difference are left out. */
  readonly blocks: Readonly<Record<string, number>>;
  /** Blocks by weight: what packing makes least. */
  readonly weightedBlocks: number;
  readonly luts: number;
  readonly registers: number;
  /** Blocks one above the other beyond the first, over all that is laid out for itself. */
  readonly cascade: number;
  /** Blocks (and logic) over the budgets, by weight; 0 where both fit. */
  readonly overrun: number;
  /** Wasted bits of the whole design. */
  readonly wastedBits: number;
}

/** How one memory was placed, and why so. */
export interface Explanation {
  readonly plan: Plan;
  readonly memory: PlanMemory;
  readonly request: MemoryRequest;
  /** Memories that it shares blocks with, in the order of the design. */
  readonly beside: readonly string[];
  /** The best first, at most {@link MOST_ALTERNATIVES}. */
  readonly alternatives: readonly BeatenAlternative[];
  /** Alternatives that were packed. */
  readonly tried: number;
  /** Alternatives that were not: those that take most room by themselves. */
  readonly untried: number;
  /** For each part of its waste that is not 0, the largest first. */
  readonly remedies: readonly Remedy[];
}

/** Alternatives that are told. */
export const MOST_ALTERNATIVES = 12;
/** Alternatives that the design is packed with. */
const MOST_TRIALS = 30;

/** Thrown where the design has no memory of the name. */
export class UnknownMemoryError extends Error {
  constructor(
    readonly word: string,
    readonly names: readonly string[],
  ) {
    super(`${JSON.stringify(word)} is no memory of the design`);
    this.name = "UnknownMemoryError";
  }
}

/** How the instances are laid out, as text: equal for layouts that take the same. */
function layoutsKey(layouts: readonly Layout[]): string {
  const texts = layouts.map(({ realisation, home, copies, pump, tiles, cascade }) => {
    const names = tiles.map(({ kind, shape, count, deep }) => `${count} ${kind} ${shape} ${deep}`).sort();
    return [realisation, home, copies, pump, cascade, ...names].join(", ");
  });
  return [...new Set(texts)].sort().join("; ");
}

function besideOf(plan: Plan, name: string): string[] {
  const names = new Set<string>();
  for (const { tenants } of plan.blocks) {
    if (tenants.some(({ memory }) => memory === name)) for (const { memory } of tenants) names.add(memory);
  }
  // Two instances of one memory may share a block with each other.
  const others = plan.memories.map((memory) => memory.name).filter((other) => other !== name);
  return others.filter((other) => names.has(other));
}

/** Floating point slack of weighed blocks. */
const SLACK = 1e-9;

function deciderOf(differences: readonly (readonly [Decider, number])[]): Decider {
  for (const [decider, difference] of differences) {
    if (Math.abs(difference) > SLACK) return difference > 0 ? decider : "better";
  }
  return "none";
}

/** `offered`: homes that the whole program had for the memory. */
function beaten(base: Packed, trial: Packed, name: string, offered: ReadonlySet<string>): BeatenAlternative {
  const [plan, other] = [base.plan, trial.plan];
  const memory = other.memories.find((each) => each.name === name)!;
  const unasked = memory.layouts.some(({ home, tiles }) => tiles.length === 0 && !offered.has(home));
  const gains = Object.keys(plan.totals.blocks).map((pool) => {
    return [pool, (other.totals.blocks[pool] ?? 0) - (plan.totals.blocks[pool] ?? 0)] as const;
  });
  const weightedBlocks = other.objective.value - plan.objective.value;
  const luts = other.totals.luts - plan.totals.luts;
  const cascade = trial.cascade - base.cascade;
  const overrun = trial.overrun - base.overrun;
  return {
    layouts: memory.layouts,
    beside: besideOf(other, name),
    status: other.status,
    proven: other.objective.proven,
    decidedBy: deciderOf([
      ["rule", unasked && overrun <= 0 ? 1 : 0],
      ["fit", overrun],
      ["blocks", weightedBlocks],
      ["luts", luts],
      ["cascade", cascade],
    ]),
    blocks: Object.fromEntries(gains.filter(([, gain]) => gain !== 0)),
    weightedBlocks,
    luts,
    registers: other.totals.registers - plan.totals.registers,
    cascade,
    overrun,
    wastedBits: other.totals.wastedBits - plan.totals.wastedBits,
  };
}

/** Those that take least room by themselves first. */
function inOrder(alternatives: readonly Alternative[], design: Design, device: Device): Alternative[] {
  const weights = unitWeights(device, design);
  const room = ({ candidate }: Alternative) => roomOf(candidate) * (weights.get(candidate.home) ?? 0);
  const logic = ({ candidate }: Alternative) => candidate.luts + candidate.registers;
  return alternatives.toSorted((a, b) => room(a) - room(b) || logic(a) - logic(b));
}

/**
 * Explains how one memory of a design was placed: packs the design, and packs the whole of it again with the memory held
 * in each other way that the design allows, as far as {@link MOST_TRIALS} goes. A memory in a lockstep or exclusive
 * group is also tried in each layout of the group that joins all of its members.
 *
 * Throws {@link UnknownMemoryError}, and whatever `pack` throws.
 */
export async function explain(
  design: Design,
  device: Device,
  name: string,
  options: ExplainOptions = {},
): Promise<Explanation> {
  const index = design.requests.findIndex((request) => request.name === name);
  const request = design.requests[index];
  if (request === undefined) {
    throw new UnknownMemoryError(
      name,
      design.requests.map((each) => each.name),
    );
  }
  const { onProgress, ...packing } = options;
  const memo = new CandidateMemo();
  const choices = choicesOf(design, device, memo);
  const base = await packChoices(design, device, choices, packing);
  const { plan } = base;
  const memory = plan.memories[index]!;
  const all = inOrder(alternativesOf(choices, index, design, device), design, device);
  const trials = all.slice(0, MOST_TRIALS);
  const found = new Map<string, BeatenAlternative>();
  const ours = layoutsKey(memory.layouts);
  const offered = new Set(choices.requests[index]!.candidates.map(({ home }) => home));
  for (const [done, trial] of trials.entries()) {
    options.signal?.throwIfAborted();
    onProgress?.({ done, total: trials.length });
    const other = await packChoices(design, device, trial.choices, packing).catch((error: unknown) => {
      // With the memory held so, another member of its group may be left without a place.
      if (error instanceof NothingLegalError) return null;
      throw error;
    });
    if (other === null) continue;
    const alternative = beaten(base, other, name, offered);
    const key = `${layoutsKey(alternative.layouts)} beside ${alternative.beside.join(", ")}`;
    const known = found.get(key);
    const same = layoutsKey(alternative.layouts) === ours && alternative.decidedBy !== "better";
    if (!same && (known === undefined || order(alternative, known) < 0)) found.set(key, alternative);
  }
  return {
    plan,
    memory,
    request,
    beside: besideOf(plan, name),
    alternatives: [...found.values()].sort(order).slice(0, MOST_ALTERNATIVES),
    tried: trials.length,
    untried: all.length - trials.length,
    remedies: await remediesOf(design, device, request, memory, { ...packing, memo }),
  };
}

/** The better one first; those that a rule forbids after those that fit, and those that do not fit last. */
function order(a: BeatenAlternative, b: BeatenAlternative): number {
  const rank = ({ status, decidedBy }: BeatenAlternative) =>
    status === "over-budget" ? 2 : decidedBy === "rule" ? 1 : 0;
  return (
    rank(a) - rank(b) ||
    a.overrun - b.overrun ||
    a.weightedBlocks - b.weightedBlocks ||
    a.luts - b.luts ||
    a.cascade - b.cascade ||
    a.registers - b.registers
  );
}
