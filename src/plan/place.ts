import type { Layout, PlanBlock } from "../model/index.js";
import type { PackProgram, Spending } from "../program/index.js";
import { runsOf } from "./instance-runs.js";
import { layoutsOf } from "./layouts.js";
import { blocksOf } from "./placed-blocks.js";

/** Where everything is: blocks, and for each request its layouts. */
export interface Placement {
  readonly blocks: readonly PlanBlock[];
  readonly layouts: readonly (readonly Layout[])[];
}

/** Turns how many of each column into which instance lies where. */
export function place(pack: PackProgram, counts: readonly number[], spending: Spending): Placement {
  const runs = runsOf(pack, counts);
  return { blocks: blocksOf(pack, spending, runs), layouts: layoutsOf(pack.choices, runs) };
}
