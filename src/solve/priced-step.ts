import { spendingOf } from "../program/index.js";
import { worth } from "./held.js";
import { improved } from "./local-search.js";
import { isGuided, type Packing } from "./packing.js";
import { columnsWithin, cutOf, priceColumns } from "./prices.js";
import type { StageModel } from "./stage-model.js";
import type { Step } from "./step.js";

/** Steps after which prices leave a stage to the relaxation. */
const STEPS_BEFORE_GUIDE = 30;

/** The first objective by prices alone. */
export async function pricedStep(
  packing: Packing,
  model: StageModel,
  known: Step,
): Promise<Step | "infeasible"> {
  const { pack, solving } = packing;
  const { held: incumbent } = known;
  const { objective } = model.task;
  const start =
    incumbent === null ? null : { counts: incumbent.counts, value: worth(pack, objective, incumbent) };
  const near = (choice: readonly number[]) => {
    if (!model.task.budgets || !model.exactShares) return null;
    const counts = improved(pack, choice, solving.stopAt);
    const { overrun, objectives } = spendingOf(pack, counts);
    const keeps = model.task.settled.every((each) => objectives[each.objective] <= each.value);
    return overrun === 0 && keeps ? { counts, value: objectives[objective] } : null;
  };
  const priced = await priceColumns(
    model,
    start,
    isGuided(packing, known.columns) ? { steps: STEPS_BEFORE_GUIDE } : { near },
  );
  const best = priced.incumbent;
  const closed = priced.bound >= (best?.value ?? priced.ceiling);
  if (closed) solving.closedBy("prices");
  if (closed && best === null) return "infeasible";
  return {
    held: best === null || best === start ? incumbent : { counts: best.counts, patterns: null },
    proven: closed ? 1 : 0,
    bound: closed ? best!.value : priced.bound,
    // Those of solutions as good as the one in hand, so that it stays among them.
    columns: best === null ? known.columns : columnsWithin(model, priced, best.value + 1),
    // Less than one above the relaxation, a row was seen to cost an engine more than it gave.
    floor: priced.bound - priced.lagrangian > 1 ? priced.bound : null,
    cut: (value) => cutOf(priced, value),
    lasting: known.lasting,
  };
}
