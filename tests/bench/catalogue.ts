import type { Budget, SystemOptions } from "./systems.js";

/** Devices of two pools, where memories can move from one sort of block to the other. */
export const TWO_POOLS = ["xczu7ev", "xcku5p", "mpf300t", "up5k"] as const;

/** Devices of the proof section with the most distinct memories that a system on each has. */
const PROOF_DEVICES = [
  ["xczu7ev", 120],
  ["ecp5-85f", 120],
  ["mpf300t", 120],
  ["10ax115", 120],
  ["xc7z020", 100],
  ["up5k", 40],
  ["generic-10k", 120],
  ["5ceba4", 100],
  ["gw2a-18", 60],
  ["xcku5p", 120],
] as const;

const BUDGETS: readonly Budget[] = ["slack", "tight", "infeasible"];

/** The system of the reference section for a seed: 20 to 60 memories, two sorts of blocks, budgets that bind. */
export function referenceOptions(seed: number): SystemOptions {
  return {
    memories: [20, 60],
    device: TWO_POOLS[seed % TWO_POOLS.length]!,
    budget: "tight",
    mustBind: true,
  };
}

/** The system of the proof section for a seed: 10 to 120 memories on ten devices with budgets of all sorts in turn; a third of them take turns. */
export function proofOptions(seed: number): SystemOptions {
  const [device, most] = PROOF_DEVICES[seed % PROOF_DEVICES.length]!;
  const budget = BUDGETS[Math.floor(seed / PROOF_DEVICES.length) % BUDGETS.length]!;
  const round = Math.floor(seed / (PROOF_DEVICES.length * BUDGETS.length));
  return { memories: [10, most], device, budget, turns: round % 3 === 2 };
}
