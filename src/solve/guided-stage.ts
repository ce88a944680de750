import { letOthersIn } from "../model/pause.js";
import { type Objective, type PackProgram, type StagedProgram, stageProgram } from "../program/index.js";
import { objectiveStep } from "./bound.js";
import { guide, type Search, searchWithin } from "./guide.js";
import { isNarrowing, type Raised, type Rung, rungsUpTo } from "./guided-rungs.js";
import { betterOf, type Held, heldOf, keeps, sumOfAims, worth } from "./held.js";
import { bettered } from "./improve.js";
import { limitByLimit, oneLimitEach } from "./limit-by-limit.js";
import { improved } from "./local-search.js";
import { rowPricesOf } from "./one-limit.js";
import { FINDS_NONE, type Outcome } from "./outcome.js";
import type { Packing } from "./packing.js";
import { partsOf } from "./parts.js";
import { atOrAbove, columnsOfValue } from "./reduced-prices.js";
import { Runs } from "./runs.js";
import { solveSized, solveSizedAlone } from "./sized-run.js";
import type { Solving } from "./solving.js";
import { type StageModel, weightedCosts } from "./stage-model.js";
import type { StageFrame, Step } from "./step.js";
import type { GoesOn } from "./tabu-search.js";
import { tiesOf } from "./ties.js";
import { valuesOf } from "./values-of.js";
import type { WeightedSum } from "./weighted-sum.js";
import { tasksAtOnce } from "./worker-host.js";

/** After how many milliseconds a plan in hand is bettered beside the runs: what ends by then needs none. */
const ASIDE_MS = 1000;

/** For how many milliseconds a search keeps the thread. */
const TURN_MS = 2;

/** A stage whose relaxation is known. */
interface GuidedStage extends Raised {
  readonly task: StageFrame;
  readonly sum: WeightedSum;
  /** Looks for a choice that keeps the limits; null: none was met. */
  near(goesOn: GoesOn): Promise<Held | null>;
  /** Betters what is in hand; null: that has no place in the stage. */
  bettered(held: Held, enough?: AbortSignal): Promise<Held | null>;
}

/** A rung with its program. */
interface Begun extends Rung {
  readonly staged: StagedProgram;
}

/** What the relaxation tells of one or more objectives. `model`: of the same stage; null where budgets may be overrun. */
export async function solveGuided(
  { pack, solving }: Packing,
  task: StageFrame,
  { aims, later }: WeightedSum,
  model: StageModel | null,
  known: Step,
): Promise<Step> {
  const whole = { ...task, minimise: aims, atLeast: null, columns: known.columns };
  const staged = stageProgram(pack, whole);
  const step = objectiveStep(staged.program);
  if (step === 0) return known;
  const search: Search =
    model === null
      ? async (start) => improved(pack, start, solving.stopAt)
      : searchWithin(model, aims as readonly { objective: Objective; weight: number }[]);
  const guidance = await guide(pack, partsOf(pack, task.components), staged, search, solving.timeLeft);
  await solving.pause();
  if (guidance === null) return known;
  const { reduced, duals } = guidance;
  const stage: GuidedStage = {
    task,
    sum: { aims, later },
    unit: aims[0]!.weight,
    step,
    bound: reduced.bound,
    within: (value) => ({ bound: reduced.bound, columns: columnsOfValue(staged, reduced, value, step) }),
    near: async (goesOn) => {
      const counts = await guidance.near(goesOn);
      const near = counts === null ? null : { counts, patterns: null };
      return near !== null && keeps(pack, task, near) ? near : null;
    },
    bettered: async (held, enough) => {
      const x = valuesOf(pack, staged, held);
      if (x === null) return null;
      const known = {
        program: staged.program,
        reduced,
        step,
        ties: tiesOf(pack, whole, staged),
        bound: reduced.bound,
      };
      const solution = { x, value: sumOfAims(pack, aims, held) };
      const best = await bettered(known, solution, { ...solving.timeLeft, enough, mode: "proof" }, 2);
      return heldOf(pack, staged, best.x);
    },
  };
  if (model === null) {
    const held = betterOf(pack, await stage.near(async () => true), known.held, aims);
    const next = { ...known, held };
    const pays = held === null || isNarrowing(stage, sumOfAims(pack, aims, held));
    if (!pays) return afterSearch(solving, pack, stage, next);
    return raised(solving, pack, { ...stage, near: async () => null }, next);
  }
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
  { sum: { aims, later }, step, bound, within }: GuidedStage,
  known: Step,
): Step {
  const { held } = known;
  const first = aims[0]!;
  const leastAt = (value: number) => Math.max(Math.ceil((value - later) / first.weight), known.bound ?? 0);
  if (held === null) return { ...known, bound: leastAt(atOrAbove(bound, step)) };
  const value = sumOfAims(pack, aims, held);
  const { bound: least, columns } = within(value);
  const proven = Math.max(atOrAbove(bound, step), least > value ? bound : atOrAbove(least, step));
  if (proven < value) return { ...known, bound: leastAt(proven), columns };
  solving.closedBy("highs");
  return {
    ...known,
    bound: worth(pack, first.objective, held),
    proven: aims.length,
    lasting: columns,
  };
}

/**
 * A stage by solving it for solutions up to a value only, which few columns can be part of, and raising the value until
 * there is one. The next value is begun while the one before it is still being solved, and a solution in hand is looked
 * for beside the first one.
 */
async function raised(solving: Solving, pack: PackProgram, stage: GuidedStage, known: Step): Promise<Step> {
  const { task, sum, step, near } = stage;
  const { aims } = sum;
  let held = known.held;
  let bound = atOrAbove(stage.bound, step);
  const worthOf = (each: Held | null) =>
    each === null ? Number.POSITIVE_INFINITY : sumOfAims(pack, aims, each);
  const programOf = ({ columns }: Rung) =>
    stageProgram(pack, { ...task, minimise: aims, atLeast: known.floor, columns });
  const runs = await Runs.of(({ staged, value, columns, isLast }: Begun, enough) => {
    const options = { ...solving.timeLeft, enough, incumbent: value };
    const sized = { program: staged.program, columns: columns.size };
    return isLast ? solveSizedAlone(sized, options) : solveSized(sized, options);
  });
  /** What was in hand when each run's last but one had been solved. */
  const helds = [held];
  const rungs = rungsUpTo(stage, (run) => worthOf(helds[run]!));
  let end: number | null = null;
  let begun = 0;
  let isBettered = false;
  const isOpen = () => end === null && !solving.isLate;
  const nextRung = async () => {
    const next = rungs.next();
    if (next.value !== null) return next;
    isBettered = true;
    const better = await stage.bettered(helds[begun]!);
    if (better === null || !keeps(pack, task, better)) return rungs.next();
    held = betterOf(pack, held, better, aims);
    return rungs.next(worthOf(better));
  };
  const begin = async () => {
    const { done, value } = await nextRung();
    if (done) end = value;
    else {
      begun += 1;
      await runs.begin({ ...value!, staged: programOf(value!) });
    }
  };
  // What comes of it counts only where the runs prove nothing, so that a proven plan does not depend on the clock.
  const enough = new AbortController();
  let aside: Promise<Held | null> = Promise.resolve(null);
  const beginAside = () => {
    if (held !== null && !isBettered) aside = stage.bettered(held, enough.signal);
  };
  const isWorthIt = task.settled.length > 0 && (await tasksAtOnce()) > 1;
  const timer = isWorthIt ? setTimeout(beginAside, ASIDE_MS) : undefined;
  /** Whether all runs so far were solved, so that what was said of higher values if there is none up to theirs holds. */
  let isKnown = true;
  try {
    if (isOpen()) await begin();
    const goesOn = goesOnUntil(() => runs.first !== null && isFound(runs.first));
    held = betterOf(pack, await near(goesOn), held, aims);
    for (;;) {
      helds.push(held);
      while (isOpen() && (await runs.wantsMore())) await begin();
      await solving.pause();
      if (runs.isEmpty) break;
      const ended = await runs.next();
      await solving.pause();
      solving.closedBy("highs");
      const { run, outcome } = ended;
      if (isKnown) bound = Math.max(bound, run.bound);
      if (outcome.status === "infeasible" && !run.isLast) {
        bound = run.value + step;
        continue;
      }
      if (outcome.status === "infeasible" || outcome.status === "failed") {
        const isLie = outcome.status === "infeasible";
        solving.failed("highs", isLie ? FINDS_NONE : outcome.reason);
        isKnown = false;
        break;
      }
      if (outcome.status === "out-of-time") {
        isKnown = false;
        continue;
      }
      const next = heldOf(pack, run.staged, outcome.x);
      held = betterOf(pack, next, held, aims);
      if (isFound(ended)) {
        const least = worth(pack, aims[0]!.objective, next);
        return { ...known, held: next, bound: least, proven: aims.length, lasting: run.columns };
      }
      isKnown &&= outcome.status === "optimal";
      bound = Math.max(bound, Math.min(run.value + step, atOrAbove(outcome.bound ?? bound, step)));
    }
    if (isKnown && end !== null) bound = Math.max(bound, end);
  } finally {
    runs.stop();
    clearTimeout(timer);
    enough.abort();
  }
  const found = await aside;
  if (found !== null && keeps(pack, task, found)) held = betterOf(pack, held, found, aims);
  return afterSearch(solving, pack, { ...stage, bound }, { ...known, held });
}

/** Whether the best solution was found: there is one up to the value that all of them were sought up to. */
function isFound({ run, outcome }: { readonly run: Rung; readonly outcome: Outcome }): boolean {
  return outcome.status === "optimal" && outcome.value <= run.value;
}

/** Work goes on until something has ended, of which others who have the thread would tell. */
function goesOnUntil(hasEnded: () => boolean): GoesOn {
  let since = performance.now();
  return async () => {
    if (performance.now() - since > TURN_MS) {
      await letOthersIn();
      since = performance.now();
    }
    return !hasEnded();
  };
}
