import type { Realisation } from "../model/index.js";
import { type BlockUse, blockUses } from "./block-use.js";
import { type Fragment, type FragmentRun, fragmentsCovered, runsOf } from "./fragment.js";
import { paretoSet } from "./pareto.js";
import type { Tiling } from "./tiling.js";
import type { Word } from "./word.js";

/** Copies `firstCopy` to `firstCopy + copies - 1`, all tiled alike. */
export interface TiledCopies {
  readonly firstCopy: number;
  readonly copies: number;
  readonly tiling: Tiling;
  readonly word: Word;
}

/** One complete way to hold one item: an instance of a memory, or the joined members of one copy of a group. */
export interface Candidate {
  readonly realisation: Realisation;
  /** A pool name, `LUT` or `registers`. */
  readonly home: string;
  readonly copies: number;
  /** Times that its blocks are clocked faster than the design; 1: not pumped. */
  readonly pump: number;
  /** Words of the request in one stored word: more than 1 where unequal port widths are served by a wide word. */
  readonly wordsInStored: number;
  readonly tiled: readonly TiledCopies[];
  /** Blocks of an exclusive stack; empty for everything else. */
  readonly stacked: readonly BlockUse[];
  /** Whole units of the pool `home`. */
  readonly units: number;
  /** Over all copies, largest extent first. */
  readonly fragments: readonly Fragment[];
  readonly luts: number;
  readonly lutMemory: number;
  readonly registers: number;
  /** Most blocks one above the other; 0: no blocks. */
  readonly cascade: number;
}

/** All block uses of one item of a candidate, every copy. */
export function candidateUses(candidate: Candidate): BlockUse[] {
  const tiled = candidate.tiled.flatMap(({ firstCopy, copies, tiling, word }) =>
    Array.from({ length: copies }, (_, index) => blockUses(tiling, word, firstCopy + index)).flat(),
  );
  return [...tiled, ...candidate.stacked];
}

/** Blocks in depth that need a multiplexer, the last of the objectives: 0 where there is none. */
export function cascadeCost(candidate: Candidate): number {
  return Math.max(0, candidate.cascade - 1);
}

/** Whether `a` can stand in for `b` in any plan without making it worse. */
export function candidateDominates(a: Candidate, b: Candidate): boolean {
  return standsIn(withRuns(a), withRuns(b));
}

/** The candidates that no other can stand in for, in their order; of two that are alike the first. */
export function paretoCandidates(candidates: readonly Candidate[]): Candidate[] {
  if (candidates.length < 2) return [...candidates];
  return paretoSet(candidates.map(withRuns), standsIn).map(({ candidate }) => candidate);
}

/** A candidate with its like fragments counted together. */
interface WithRuns {
  readonly candidate: Candidate;
  readonly runs: readonly FragmentRun[];
}

function withRuns(candidate: Candidate): WithRuns {
  return { candidate, runs: runsOf(candidate.fragments) };
}

function standsIn({ candidate: a, runs: aRuns }: WithRuns, { candidate: b, runs: bRuns }: WithRuns): boolean {
  if (a.luts > b.luts || a.lutMemory > b.lutMemory || cascadeCost(a) > cascadeCost(b)) return false;
  const aUses = a.units > 0 || aRuns.length > 0;
  if (!aUses && a.registers <= b.registers) return true;
  if (a.home !== b.home || a.units > b.units || a.registers > b.registers) return false;
  return fragmentsCovered(aRuns, bRuns, b.units - a.units);
}
