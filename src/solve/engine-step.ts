import { allPatternsInPlay, type Stage, stageProgram } from "../program/index.js";
import { roundUpBound } from "./bound.js";
import { generatePatterns } from "./column-generation.js";
import { solveWith } from "./engine.js";
import { solveGuided } from "./guided-stage.js";
import { betterOf, type Held, heldOf, sumOfAims, worth } from "./held.js";
import { FINDS_NONE, type Outcome } from "./outcome.js";
import { isGuided, type Packing, sizeOf } from "./packing.js";
import type { Engine } from "./protocol.js";
import { solveSizedWhole } from "./sized-run.js";
import type { StageModel } from "./stage-model.js";
import type { StageFrame, Step } from "./step.js";
import type { WeightedSum } from "./weighted-sum.js";

/** What is left of an outcome whose proofs are not relied on. */
function unproven(outcome: Outcome): Outcome {
  if (outcome.status === "infeasible") return { status: "out-of-time" };
  return outcome.status === "optimal" ? { ...outcome, status: "feasible", bound: null } : outcome;
}

/** One or more objectives by an engine, from what is known of the first. */
export async function engineStep(
  packing: Packing,
  task: StageFrame,
  sum: WeightedSum,
  before: Step,
  model: StageModel | null,
): Promise<Step | "infeasible"> {
  const { pack, solving, engine: asked } = packing;
  const { aims, later } = sum;
  let known = before;
  const guided = isGuided(packing, before.columns);
  if (guided) {
    known = await solveGuided(packing, task, sum, model, before);
    if (known.proven > 0) return known;
  }
  const { held: best, columns, floor } = known;
  const stage: Stage = { ...task, minimise: aims, atLeast: floor, columns };
  const { objective, weight } = aims[0]!;
  const together = aims.length > 1;
  const complete = allPatternsInPlay(pack);
  const relaxed = complete ? null : await generatePatterns(pack, stage, solving);
  const staged = stageProgram(pack, stage);
  const { program } = staged;
  if (!program.variables.some((variable) => variable.objective !== 0)) {
    return { ...known, proven: best === null ? 0 : aims.length, bound: 0 };
  }
  const run = (engine: Engine) => {
    const options = {
      ...solving.timeLeft,
      ...(best === null ? {} : { incumbent: sumOfAims(pack, aims, best) }),
    };
    return guided && engine === "highs"
      ? solveSizedWhole(
          { program, columns: sizeOf(packing, columns) },
          options,
          together ? null : known.bound,
        )
      : solveWith(engine, program, options);
  };
  // Not whichever is quicker at the moment: of several optima, the same design has to get the same one again.
  let engine: Engine = asked === "auto" ? "highs" : asked;
  let outcome = await run(engine);
  if (asked === "auto" && outcome.status === "failed") {
    solving.failed(engine, outcome.reason);
    if (together) return known;
    engine = "javascript-lp-solver";
    outcome = unproven(await run(engine));
  }
  await solving.pause();
  solving.closedBy(engine);
  if (outcome.status === "failed") solving.failed(engine, outcome.reason);
  // With patterns left out, what an engine proves holds for those in play only; the relaxation's bound holds for all.
  // Patterns that are not in play may cost other LUTs than multiples of the step of those that are.
  const rounded = (value: number) =>
    objective === "luts" ? Math.ceil(value - 1e-6) : roundUpBound(program, value);
  const bound = complete || relaxed === null ? known.bound : Math.max(rounded(relaxed), known.bound ?? 0);
  const closedAt = (held: Held | null, least: number | null) =>
    held !== null && least !== null && worth(pack, objective, held) <= least ? 1 : 0;
  const step = (held: Held | null, least: number | null, proven = closedAt(held, least)): Step => ({
    ...known,
    held,
    proven,
    bound: least,
  });
  if (outcome.status === "infeasible" && complete) {
    if (best === null) return "infeasible";
    solving.failed(engine, FINDS_NONE);
  }
  if (outcome.status !== "optimal" && outcome.status !== "feasible") return step(best, bound);
  const next = heldOf(pack, staged, outcome.x);
  const held = betterOf(pack, next, best, aims);
  if (!complete) return step(held, bound);
  if (outcome.status === "optimal" && held === next) {
    return step(held, worth(pack, objective, held), aims.length);
  }
  const least = outcome.bound === null ? null : Math.ceil((outcome.bound - later) / weight);
  return step(held, least === null ? bound : Math.max(least, bound ?? least));
}
