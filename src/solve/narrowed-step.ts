import {
  columnCandidate,
  OBJECTIVES,
  outdoneColumns,
  type PackProgram,
  type Stage,
  stageProgram,
} from "../program/index.js";
import { objectiveStep } from "./bound.js";
import { solveRelaxation } from "./engine.js";
import { heldOf, sumOfAims, usedBy } from "./held.js";
import { solveNarrowed } from "./narrow.js";
import type { Packing } from "./packing.js";
import { columnsOfValue, pricesFromDuals } from "./reduced-prices.js";
import type { StageFrame, Step } from "./step.js";
import { tiesOf } from "./ties.js";
import { valuesOf } from "./values-of.js";
import type { WeightedSum } from "./weighted-sum.js";

/** The part of the time that a first plan within the budgets is sought for, before one that overruns them is bettered. */
const PART_TO_FIT = 0.3;

/** Whether a column brings fragments to several keys whose blocks are shared in turns. */
function tiesKeys({ columns }: PackProgram, column: number): boolean {
  if (column < 0) return false;
  const keys = new Set<string>();
  for (const { shareKey, stack } of columnCandidate(columns[column]!)?.fragments ?? []) {
    if (stack !== null) keys.add(shareKey);
  }
  return keys.size > 1;
}

function columnsBut(columns: Iterable<number>, outdone: ReadonlyMap<number, number>): ReadonlySet<number> {
  return new Set([...columns].filter((column) => !outdone.has(column)));
}

/**
 * The columns that solutions of a stage worth `value` may use, from those that they may use besides what another one stands in for: later objectives
 * may be better with that.
 */
async function withOutdone(
  { pack, solving }: Packing,
  used: ReadonlySet<number>,
  outdone: ReadonlyMap<number, number>,
  stage: Stage,
  value: number,
): Promise<ReadonlySet<number>> {
  const alike = [...outdone].flatMap(([column, other]) => (used.has(other) ? [column] : []));
  const both = new Set([...used, ...alike]);
  const staged = stageProgram(pack, { ...stage, columns: both });
  const relaxation = await solveRelaxation(staged.program, solving.timeLeft);
  const reduced = relaxation.status === "optimal" ? pricesFromDuals(staged.program, relaxation.duals) : null;
  if (reduced === null) return both;
  return columnsOfValue(staged, reduced, value, objectiveStep(staged.program));
}

/** One or more objectives by highs on the columns and patterns that good solutions may use; null where that fails. */
export async function narrowedStep(
  packing: Packing,
  task: StageFrame,
  { aims, later }: WeightedSum,
  known: Step,
): Promise<Step | "infeasible" | null> {
  const { pack, solving } = packing;
  const { held: start } = known;
  const isFirst = task.settled.length === 0;
  const all: Stage = { ...task, minimise: aims, atLeast: null, columns: known.columns };
  const outdone = outdoneColumns(pack, all, usedBy(isFirst ? null : start));
  const stage = { ...all, columns: columnsBut(all.columns ?? pack.columns.keys(), outdone) };
  const staged = stageProgram(pack, stage);
  const { program } = staged;
  if (!program.variables.some(({ objective }) => objective !== 0)) return null;
  const { best, bound, infeasible, failure, reduced } = await solveNarrowed(
    program,
    {
      incumbent: start === null ? null : sumOfAims(pack, aims, start),
      atLeast: known.bound === null ? null : aims[0]!.weight * known.bound,
      // What is in hand once objectives are settled is hard to better; the first one in hand is far from good.
      start: start === null || isFirst ? null : valuesOf(pack, staged, start),
      // Where nothing is in hand, few variables have no solution, and to tell that takes long.
      isIntricate:
        isFirst && start !== null ? (variable) => tiesKeys(pack, staged.columnOf[variable]!) : null,
      isDerived: (variable) => staged.columnOf[variable]! < 0 && staged.patternOf[variable] === null,
      ties: isFirst ? null : tiesOf(pack, stage, staged),
    },
    {
      stopAt: solving.stopAt,
      giveUpAt: solving.afterPart(PART_TO_FIT),
      signal: solving.signal,
    },
  );
  await solving.pause();
  solving.closedBy("highs");
  if (infeasible && start === null && best === null) return "infeasible";
  if (failure !== null) solving.failed("highs", failure);
  const unpriced = reduced === null && !solving.isLate;
  if (failure !== null || infeasible || unpriced) return null;
  const held = best === null ? start : heldOf(pack, staged, best.x);
  const least = bound === null ? known.bound : Math.ceil((bound - later) / aims[0]!.weight);
  if (held === null || bound === null || reduced === null || bound < sumOfAims(pack, aims, held)) {
    return { ...known, held, bound: least };
  }
  const value = sumOfAims(pack, aims, held);
  const used = columnsOfValue(staged, reduced, value, objectiveStep(program));
  // Nothing comes after the cascade.
  const isLast = outdone.size === 0 || aims.at(-1)!.objective === OBJECTIVES.at(-1);
  const lasting = isLast ? used : await withOutdone(packing, used, outdone, all, value);
  return { ...known, held, proven: aims.length, bound: least, lasting };
}
