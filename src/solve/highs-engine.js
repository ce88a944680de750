// @ts-check
/**
 * The engine `highs`: HiGHS compiled to WebAssembly. The program goes in as sparse arrays, not as text, so that no
 * number is formatted and no name is parsed.
 *
 * @import { Claim, Task } from "./protocol.js"
 */
import highsModule from "highs";

// The package's types describe its CommonJS form, whose default export is one level deeper than that of the ES
// module which Node loads.
const loadHighs = /** @type {typeof import("highs").default} */ (/** @type {unknown} */ (highsModule));

/** HiGHS's code for "the point at hand is feasible" (kSolutionStatusFeasible). */
const FEASIBLE_POINT = 2;
/** The part of the time left that is kept for handing HiGHS's answer over, and the most of it, in milliseconds. */
const HANDING_OVER = { share: 0.1, most: 300 };

/**
 * Searches for solutions that cost more than they gave over forty systems where blocks are shared by two: the root's own ones find the
 * best as soon.
 */
const WITHOUT_SEARCHES = {
  mip_heuristic_run_feasibility_jump: false,
  mip_heuristic_run_rins: false,
  mip_heuristic_run_rens: false,
};

/** Few trials of a variable before branching on it, and fewer cuts in store, each for fewer nodes without use. */
const LEAN_TREE = { mip_pscost_minreliable: 1, mip_pool_soft_limit: 2000, mip_lp_age_limit: 5 };

/**
 * What HiGHS is set to for each mode. Without any search, with few trials of a variable before branching on it and fewer cuts in store,
 * a proof takes a half to a fifth of the time (seven programs of blocks with patterns, 2,000 to 6,000 variables).
 */
const MODES = {
  tree: WITHOUT_SEARCHES,
  search: {},
  aim: LEAN_TREE,
  proof: {
    ...WITHOUT_SEARCHES,
    ...LEAN_TREE,
    mip_heuristic_run_root_reduced_cost: false,
    mip_heuristic_effort: 0,
  },
};

/** How far from a whole number a value has to be for it not to be one: far above HiGHS's tolerance. */
const NOT_WHOLE = 1e-5;

/** The bit of HiGHS's presolve rule that tries variables at their limits: it takes longer than it gives here. */
const PROBING = 1 << 15;

/** HiGHS fails on relaxations with costs of some 1e10: where one is larger than this, all are put in smaller units. */
const LARGEST_COST = 2 ** 20;

/** @type {Promise<import("highs").Highs> | undefined} */
let loading;

/**
 * Solves one task. Better solutions found on the way are reported at once: they are what is left when the thread
 * is ended.
 *
 * @param {Task} task
 * @param {(claim: Claim) => void} report
 * @returns {Promise<Claim>}
 */
export async function run(task, report) {
  loading ??= loadHighs();
  const highs = await loading;
  const { modelStatus, callbackType } = highs.constants;
  const left = task.stopAt - Date.now();
  const seconds = (left - Math.min(HANDING_OVER.share * left, HANDING_OVER.most)) / 1000;
  if (seconds <= 0) return { status: "out-of-time" };

  const unit = task.whole ? 1 : unitOf(task.program.objective);
  const { enough } = task;
  const work = task.work ?? Number.POSITIVE_INFINITY;

  return highs.withModel(
    modelData(task, highs, unit),
    /** @returns {Claim} */ (model) => {
      model.options.set({
        output_flag: false,
        time_limit: seconds,
        mip_rel_gap: 0,
        presolve_rule_off: PROBING,
        mip_abs_gap: task.gap,
        ...(task.cutoff === null ? {} : { objective_bound: task.cutoff }),
        random_seed: task.seed,
        ...MODES[task.mode],
      });
      if (task.start !== null) model.setSolution({ colValue: Float64Array.from(task.start) });
      model.run({
        [callbackType.mipImprovingSolution]({ data }) {
          const { mip_solution: x, objective_function_value: value, mip_dual_bound: bound } = data;
          if (x !== undefined && value !== undefined) {
            report({ status: "feasible", x: Array.from(x), value, bound: finite(bound) });
          }
        },
        ...(enough === null && task.work === null
          ? {}
          : {
              [callbackType.mipInterrupt](event) {
                const isEnough = enough !== null && Atomics.load(enough, 0) !== 0;
                if (isEnough || Number(event.data.mip_total_lp_iterations ?? 0) > work) event.interrupt();
              },
            }),
      });

      const status = model.getModelStatus();
      const optimal = status === modelStatus.optimal;
      if (optimal || (task.whole && Number(model.info.get("primal_solution_status")) === FEASIBLE_POINT)) {
        const value = model.getObjectiveValue() * unit;
        const { colValue, rowDual } = model.getSolution();
        const tries = triesOf(model, task, colValue ?? [], highs);
        return {
          status: optimal ? "optimal" : "feasible",
          x: Array.from(colValue ?? []),
          value,
          bound: task.whole ? finite(Number(model.info.get("mip_dual_bound"))) : value,
          ...(task.whole ? {} : { duals: Array.from(rowDual ?? [], (dual) => dual * unit) }),
          tries: tries.map((tried) => ({ ...tried, below: tried.below * unit, above: tried.above * unit })),
        };
      }
      if (status === modelStatus.infeasible) return { status: "infeasible" };
      if (status === modelStatus.timeLimit || status === modelStatus.interrupted) {
        return { status: "out-of-time" };
      }
      const name = Object.entries(modelStatus).find(([, code]) => code === status)?.[0];
      return { status: "failed", reason: `highs stopped with the status ${name ?? status}` };
    },
  );
}

/**
 * The unit in which no cost is large: a power of two, so that nothing is rounded.
 *
 * @param {Float64Array} costs
 */
function unitOf(costs) {
  const most = costs.reduce((sum, cost) => Math.max(sum, Math.abs(cost)), 0);
  return most > LARGEST_COST ? 2 ** Math.ceil(Math.log2(most / LARGEST_COST)) : 1;
}

/**
 * @param {Task} task
 * @param {import("highs").Highs} highs
 * @param {number} unit
 * @returns {import("highs").ModelData}
 */
function modelData({ program, whole, loose }, highs, unit) {
  const { objective, upper, follows, rowLower, rowUpper, starts, variables, coefficients } = program;
  const size = { numCols: objective.length, numRows: rowLower.length };
  const { integer, continuous } = highs.constants.variableType;
  return {
    ...size,
    colCost: unit === 1 ? objective : objective.map((cost) => cost / unit),
    colLower: new Float64Array(size.numCols),
    colUpper: upper,
    rowLower,
    rowUpper,
    matrix: { format: "csr", ...size, starts, indices: variables, values: coefficients },
    integrality: Array.from(follows, (does) => (whole && !(loose && does) ? integer : continuous)),
  };
}

/**
 * What a relaxation that has been solved is worth where each of some variables is limited to the whole numbers on either side of its value, unless that is
 * whole. From its basis: some milliseconds each.
 *
 * @param {import("highs").Model} model
 * @param {Task} task
 * @param {ArrayLike<number>} x
 * @param {import("highs").Highs} highs
 * @returns {import("./outcome.js").Tried[]}
 */
function triesOf(model, { tried, program: { upper }, stopAt }, x, highs) {
  if (tried === null) return [];
  const basis = model.getBasis();
  const found = [];
  for (const variable of tried) {
    if (Date.now() >= stopAt) break;
    const value = Number(x[variable]);
    const floor = Math.floor(value);
    if (value - floor < NOT_WHOLE || floor + 1 - value < NOT_WHOLE) continue;
    const [below, above] = [
      [0, floor],
      [floor + 1, Number(upper[variable])],
    ].map(([least, most]) => {
      model.changeColBounds(variable, Number(least), Number(most));
      model.setBasis(basis);
      model.run({});
      const isSolved = model.getModelStatus() === highs.constants.modelStatus.optimal;
      return isSolved ? model.getObjectiveValue() : Number.POSITIVE_INFINITY;
    });
    model.changeColBounds(variable, 0, Number(upper[variable]));
    found.push({ variable, x: value, below: Number(below), above: Number(above) });
  }
  return found;
}

/** @param {number | undefined} bound */
function finite(bound) {
  return bound !== undefined && Number.isFinite(bound) ? bound : null;
}
