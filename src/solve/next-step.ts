import type { Objective } from "../program/index.js";
import { engineStep } from "./engine-step.js";
import { worth } from "./held.js";
import type { Cut } from "./limits.js";
import { narrowedStep } from "./narrowed-step.js";
import { isNarrowed, type Packing, sizeOf } from "./packing.js";
import { hasChoice } from "./parts.js";
import { pricedStep } from "./priced-step.js";
import { type StageModel, stageModel, weightedCosts } from "./stage-model.js";
import type { StageFrame, Step } from "./step.js";
import { solveUnshared } from "./unshared.js";
import { sumOf, type WeightedSum } from "./weighted-sum.js";

/** Columns up to which the blocks are solved together with all that comes after them, where budgets bind: with more, one after the other is sooner. */
const MOST_TOGETHER = 1000;

/** All objectives where no block is shared; null where that takes long. */
function unsharedStep(
  { pack, solving }: Packing,
  model: StageModel,
  objectives: readonly Objective[],
): Step | "infeasible" | null {
  const sum = sumOf(model, objectives);
  if (sum === null) return null;
  const { columns } = weightedCosts(pack, sum.aims as readonly { objective: Objective; weight: number }[]);
  const counts = solveUnshared(model, columns);
  if (counts === null) return null;
  solving.closedBy("dynamic programming");
  if (counts === "infeasible") return counts;
  const held = { counts, patterns: null };
  const bound = worth(pack, objectives[0]!, held);
  return { held, proven: objectives.length, bound, columns: null, floor: null, cut: null, lasting: null };
}

/** Whether objectives that are left are solved as one sum, the first of them together with all that come after it. */
function areTogether(
  packing: Packing,
  { budgets }: StageFrame,
  model: StageModel,
  columns: Step["columns"],
): boolean {
  const isFirst = model.task.objective === "blocks";
  if (isNarrowed(packing)) return !isFirst;
  if (!model.exactShares || packing.engine === "javascript-lp-solver") return false;
  // Without budgets the stages one by one are proven sooner.
  return !isFirst || (budgets !== "none" && sizeOf(packing, columns) <= MOST_TOGETHER);
}

/** One objective by itself. */
async function aloneStep(
  packing: Packing,
  task: StageFrame,
  objective: Objective | "overrun",
  known: Step,
  model: StageModel | null,
): Promise<Step | "infeasible"> {
  const alone = { aims: [{ objective, weight: 1 }], later: 0 };
  const narrowed = isNarrowed(packing) ? await narrowedStep(packing, task, alone, known) : null;
  return narrowed ?? engineStep(packing, task, alone, known, model);
}

/**
 * The next of the objectives that are left: by prices where they close the first, else by an engine, all at once where it can.
 *
 * @param cuts what was proved about solutions that keep the objectives which are settled
 * @param start what is known before
 */
export async function nextStep(
  packing: Packing,
  task: StageFrame,
  objectives: readonly (Objective | "overrun")[],
  cuts: readonly Cut[],
  start: Pick<Step, "held" | "columns" | "lasting" | "bound">,
): Promise<Step | "infeasible"> {
  const { pack, solving, engine } = packing;
  await solving.pause();
  const objective = objectives[0]!;
  const before: Step = {
    ...start,
    proven: 0,
    floor: objective === "overrun" ? start.bound : null,
    cut: null,
  };
  if (start.held !== null && solving.isLate) return before;
  if (objective === "overrun") return aloneStep(packing, task, objective, before, null);
  const left = objectives as readonly Objective[];
  // Prices and models know nothing of overruns.
  const isSoft = task.budgets === "soft";
  const settled = isSoft ? [] : (task.settled as { objective: Objective; value: number }[]);
  const budgets = task.budgets === "hard";
  const { stopAt, pause } = solving;
  const stage = { pack, objective, settled, budgets, stopAt, cuts, pause };
  const model = stageModel(stage, task.components, start.columns);
  if (!model.parts.every(hasChoice)) return "infeasible";
  if (engine === "auto" && budgets && settled.length === 0 && model.rows.length === 0) {
    const found = unsharedStep(packing, model, left);
    if (found !== null) return found;
  }
  const narrow = isNarrowed(packing);
  const priced = engine === "auto" && !isSoft && !narrow ? await pricedStep(packing, model, before) : before;
  if (priced === "infeasible" || priced.proven > 0) return priced;
  const limited = isSoft ? null : model;
  const sum = left.length > 1 && areTogether(packing, task, model, start.columns) ? sumOf(model, left) : null;
  const byEngine = (its: WeightedSum) =>
    narrow ? narrowedStep(packing, task, its, priced) : engineStep(packing, task, its, priced, limited);
  const found = sum === null ? null : await byEngine(sum);
  if (found === "infeasible") return found;
  if (found !== null && (found.proven > 0 || solving.isLate)) return found;
  return aloneStep(packing, task, objective, found ?? priced, limited);
}
