import { allPatternsInPlay, type PackProgram, type Stage, sharedByTwo } from "../program/index.js";
import type { Engine } from "./protocol.js";
import type { Solving } from "./solving.js";

/** Columns of a stage from which on the relaxation is asked first: highs takes few milliseconds for fewer. */
const COLUMNS_TO_GUIDE = 150;

/** What is the same for all stages of a program. */
export interface Packing {
  readonly pack: PackProgram;
  /** The engine that was asked for. */
  readonly engine: "auto" | Engine;
  readonly solving: Solving;
}

/** How many columns a stage has. */
export function sizeOf({ pack }: Packing, columns: Stage["columns"]): number {
  return columns?.size ?? pack.columns.length;
}

/** Whether blocks may hold more than two fragments, so that there is a variable a pattern. */
export function isPatterned({ shareKeys }: PackProgram): boolean {
  return !shareKeys.every(sharedByTwo);
}

/** Whether highs solves stages on few of their variables. */
export function isNarrowed({ pack, engine }: Packing): boolean {
  return isPatterned(pack) && allPatternsInPlay(pack) && engine !== "javascript-lp-solver";
}

/** Whether the relaxation is asked before an engine: it takes milliseconds, as small programs do by themselves. */
export function isGuided(packing: Packing, columns: Stage["columns"]): boolean {
  const { pack, engine } = packing;
  const isLarge = sizeOf(packing, columns) >= COLUMNS_TO_GUIDE;
  return isLarge && !isPatterned(pack) && engine !== "javascript-lp-solver";
}
