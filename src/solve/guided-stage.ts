import { type Objective, type PackProgram, type StagedProgram, stageProgram } from "../program/index.js";
import { objectiveStep } from "./bound.js";
import { solveWith } from "./engine.js";
import { guide, type Search, searchWithin } from "./guide.js";
import { betterOf, type Held, heldOf, keeps, sumOfAims, worth } from "./held.js";
import { limitByLimit, oneLimitEach } from "./limit-by-limit.js";
import { improved } from "./local-search.js";
import { atOrAbove, columnsOfValue, RAISE } from "./narrow.js";
import { rowPricesOf } from "./one-limit.js";
import type { Outcome } from "./outcome.js";
import { partsOf } from "./parts.js";
import type { Solving } from "./solving.js";
import { type StageModel, weightedCosts } from "./stage-model.js";
import type { StageFrame, Step } from "./step.js";
import type { WeightedSum } from "./weighted-sum.js";

/** Columns from which on a solution in hand is looked for before a value is raised the first time. */
const COLUMNS_TO_SEARCH = 100;

/** How often a stage is solved up to a value before it is solved as a whole. */
const MOST_RUNS = 6;

/** How often a value is raised, with and without a run. */
const MOST_RAISES = 12;

/** The part of the way from the bound to the best in hand above which a value is not worth a run of its own. */
const NEARLY_ALL = 0.8;

/** A stage whose relaxation is known. */
interface GuidedStage {
  readonly task: StageFrame;
  readonly sum: WeightedSum;
  /** What values of the sum are multiples of. */
  readonly step: number;
  /** A lower bound on the sum. */
  readonly bound: number;
  /** The columns that a solution worth a value or less may use, and a bound that holds for those; infinite: there is none. */
  within(value: number): { readonly bound: number; readonly columns: ReadonlySet<number> };
  /** Looks for a choice that keeps the limits; null: none was met. */
  near(): Held | null;
}

/** What the relaxation tells of one or more objectives. `model`: of the same stage; null where budgets may be overrun. */
export async function solveGuided(
  solving: Solving,
  pack: PackProgram,
  task: StageFrame,
  { aims, later }: WeightedSum,
  model: StageModel | null,
  known: Step,
): Promise<Step> {
  const staged = stageProgram(pack, { ...task, minimise: aims, atLeast: null, columns: known.columns });
  const step = objectiveStep(staged.program);
  if (step === 0) return known;
  const search: Search =
    model === null
      ? (start) => improved(pack, start, solving.stopAt)
      : searchWithin(model, aims as readonly { objective: Objective; weight: number }[]);
  const guidance = await guide(pack, partsOf(pack, task.components), staged, search, solving.timeLeft);
  await solving.pause();
  if (guidance === null) return known;
  const { reduced, duals } = guidance;
  const stage: GuidedStage = {
    task,
    sum: { aims, later },
    step,
    bound: reduced.bound,
    within: (value) => ({ bound: reduced.bound, columns: columnsOfValue(staged, reduced, value, step) }),
    near: () => {
      const counts = guidance.near();
      const near = counts === null ? null : { counts, patterns: null };
      return near !== null && keeps(pack, task, near) ? near : null;
    },
  };
  if (model === null) return afterSearch(solving, pack, stage, known);
  const costs = weightedCosts(pack, aims as readonly { objective: Objective; weight: number }[]);
  const relaxations = oneLimitEach(model, costs, rowPricesOf(model, staged, duals));
  const within: GuidedStage["within"] = (value) =>
    limitByLimit(model, relaxations, stage.within(value).columns, value);
  return raised(solving, pack, { ...stage, within }, known);
}

/** A stage after a search near its relaxation: the columns that solutions as good as the best in hand may use. */
function afterSearch(
  solving: Solving,
  pack: PackProgram,
  { sum: { aims, later }, step, bound, within, near }: GuidedStage,
  known: Step,
): Step {
  const held = betterOf(pack, near(), known.held, aims);
  const first = aims[0]!;
  const leastAt = (value: number) => Math.max(Math.ceil((value - later) / first.weight), known.bound ?? 0);
  if (held === null) return { ...known, bound: leastAt(atOrAbove(bound, step)) };
  const value = sumOfAims(pack, aims, held);
  const { bound: least, columns } = within(value);
  const proven = Math.max(atOrAbove(bound, step), least > value ? bound : atOrAbove(least, step));
  if (proven < value) return { ...known, held, bound: leastAt(proven), columns };
  solving.closedBy("highs");
  return {
    ...known,
    held,
    bound: worth(pack, first.objective, held),
    proven: aims.length,
    lasting: columns,
  };
}

/**
 * A stage by solving it for solutions up to a value only, which few columns can be part of, and raising the value until there is one or the
 * best in hand is near.
 */
async function raised(solving: Solving, pack: PackProgram, stage: GuidedStage, known: Step): Promise<Step> {
  const { task, sum, step, within, near } = stage;
  const { aims } = sum;
  let held = known.held;
  let searched = false;
  let bound = atOrAbove(stage.bound, step);
  let raise = Math.max(step, aims[0]!.weight);
  for (let runs = 0, raises = 0; runs < MOST_RUNS && raises < MOST_RAISES; raises++) {
    await solving.pause();
    if (solving.isLate) break;
    const most = held === null ? Number.POSITIVE_INFINITY : sumOfAims(pack, aims, held);
    const value = bound + raise;
    if (value - bound > NEARLY_ALL * (most - bound)) break;
    raise *= RAISE;
    const { bound: least, columns } = within(value);
    if (least > value) {
      bound = value + step;
      continue;
    }
    bound = Math.max(bound, atOrAbove(least, step));
    if (!searched && (runs > 0 || columns.size > COLUMNS_TO_SEARCH)) {
      searched = true;
      held = betterOf(pack, near(), held, aims);
    }
    runs += 1;
    const staged = stageProgram(pack, { ...task, minimise: aims, atLeast: known.floor, columns });
    const outcome = await upTo(solving, staged.program, value);
    if (outcome.status === "infeasible") {
      bound = value + step;
      continue;
    }
    if (outcome.status !== "optimal" && outcome.status !== "feasible") break;
    const next = heldOf(pack, staged, outcome.x);
    if (outcome.status === "optimal" && sumOfAims(pack, aims, next) <= value) {
      const least = worth(pack, aims[0]!.objective, next);
      return { ...known, held: next, bound: least, proven: aims.length, lasting: columns };
    }
    held = betterOf(pack, next, held, aims);
    if (outcome.status === "feasible") break;
    bound = value + step;
  }
  return afterSearch(
    solving,
    pack,
    { ...stage, bound, near: () => (searched ? null : near()) },
    { ...known, held },
  );
}

/** A program by highs, solutions up to a value only. */
async function upTo(solving: Solving, program: StagedProgram["program"], value: number): Promise<Outcome> {
  const outcome = await solveWith("highs", program, { ...solving.timeLeft, incumbent: value });
  await solving.pause();
  solving.closedBy("highs");
  if (outcome.status === "failed") solving.failed("highs", outcome.reason);
  return outcome;
}
