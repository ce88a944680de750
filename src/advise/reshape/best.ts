import type { DesignEdit } from "../../input/index.js";
import { type Change, overlaps, touched } from "./change.js";
import { compare } from "./rank.js";
import type { Figures, Packer } from "./trial.js";

/** How a search for the best combination goes. */
export interface BestOptions {
  /** Combinations that are kept after each step; from 1. */
  readonly beam: number;
  /** Most changes in a combination; from 1. */
  readonly steps: number;
}

/** One change of a sequence and the whole design packed with it and those before it. */
export interface Step {
  readonly change: Change;
  readonly figures: Figures;
}

/** Changes made one after the other. */
export interface Sequence {
  readonly steps: readonly Step[];
  readonly edits: readonly DesignEdit[];
  /** What the whole sequence comes to; that of the design as it stands where no step helps. */
  readonly figures: Figures;
  /** Logic units that no plan counts. */
  readonly extraLuts: number;
}

/** Steps that bring nothing better before a search that left combinations out gives up. */
const PATIENCE = 2;

function compatible(a: Change, b: Change): boolean {
  const others = touched(b);
  return touched(a).every((path) => others.every((other) => !overlaps(path, other)));
}

/** A combination: its sequence, and the positions of its changes in the list of all. */
interface State {
  readonly members: readonly number[];
  readonly sequence: Sequence;
}

function better(a: State, b: State): number {
  return compare(a.sequence, b.sequence) || a.members.length - b.members.length;
}

async function extended(packer: Packer, state: State, index: number, change: Change): Promise<State | null> {
  const { steps, edits, extraLuts } = state.sequence;
  const all = [...edits, ...change.edits];
  const trial = await packer(all);
  if (trial.status !== "packed") return null;
  const { figures } = trial;
  return {
    members: [...state.members, index].sort((a, b) => a - b),
    sequence: {
      steps: [...steps, { change, figures }],
      edits: all,
      figures,
      extraLuts: extraLuts + change.extraLuts,
    },
  };
}

/**
 * The combination of changes that takes least, by a beam search: from each of the best combinations so far, every change
 * that touches no place of theirs is tried, the whole design packed, and the best kept again. With a beam as wide as there
 * are combinations it tries them all; otherwise it stops when two steps in a row bring nothing better.
 */
export async function bestSequence(
  packer: Packer,
  before: Figures,
  changes: readonly Change[],
  { beam, steps }: BestOptions,
): Promise<Sequence> {
  let best: State = { members: [], sequence: { steps: [], edits: [], figures: before, extraLuts: 0 } };
  let states: readonly State[] = [best];
  let complete = true;
  for (let step = 0, idle = 0; step < steps && states.length > 0; step += 1) {
    const next = new Map<string, State>();
    for (const state of states) {
      for (const [index, change] of changes.entries()) {
        const key = [...state.members, index].sort((a, b) => a - b).join();
        if (state.members.includes(index) || next.has(key)) continue;
        if (!state.members.every((member) => compatible(changes[member]!, change))) continue;
        const found = await extended(packer, state, index, change);
        if (found !== null) next.set(key, found);
      }
    }
    const ranked = [...next.values()].sort(better);
    complete &&= ranked.length <= beam;
    states = ranked.slice(0, beam);
    const first = states[0];
    const improved = first !== undefined && better(first, best) < 0;
    if (improved) best = first;
    idle = improved ? 0 : idle + 1;
    if (!complete && idle >= PATIENCE) break;
  }
  return best.sequence;
}
