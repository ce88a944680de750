import {
  allPatternsInPlay,
  columnCandidate,
  OBJECTIVES,
  type Objective,
  outdoneColumns,
  type PackProgram,
  type Spending,
  type Stage,
  sharedByTwo,
  spendingOf,
  stageProgram,
} from "../program/index.js";
import { objectiveStep, roundUpBound } from "./bound.js";
import { generatePatterns } from "./column-generation.js";
import { type Component, components } from "./components.js";
import { solveRelaxation, solveWith } from "./engine.js";
import { solveGuided } from "./guided-stage.js";
import { betterOf, fits, type Held, heldOf, sumOfAims, usedBy, worth, worthOf } from "./held.js";
import { withLessOverrun } from "./less-overrun.js";
import type { Cut } from "./limits.js";
import { improved } from "./local-search.js";
import { solveNarrowed } from "./narrow.js";
import { FINDS_NONE, type Outcome } from "./outcome.js";
import { type PackSolveOptions, USUAL_DEADLINE_MS } from "./pack-solve-options.js";
import { hasChoice } from "./parts.js";
import { columnsWithin, cutOf, priceColumns } from "./prices.js";
import type { Engine } from "./protocol.js";
import { columnsOfValue, pricesFromDuals } from "./reduced-prices.js";
import { solveSizedWhole } from "./sized-run.js";
import { Solving } from "./solving.js";
import { type StageModel, stageModel, weightedCosts } from "./stage-model.js";
import { independentBest, independentBound } from "./start.js";
import type { StageFrame, Step } from "./step.js";
import { tiesOf } from "./ties.js";
import { solveUnshared } from "./unshared.js";
import { valuesOf } from "./values-of.js";
import { sumOf, type WeightedSum } from "./weighted-sum.js";

/** A choice for every column, with what is known about it. */
export interface PackSolution {
  /** Items of each column. */
  readonly counts: readonly number[];
  readonly spending: Spending;
  /** A proven lower bound on the weighted blocks (of the plans that overrun least, where none fits). */
  readonly bound: number;
  /** All stages proven: the overrun, the blocks, then the LUTs, then the cascade. */
  readonly proven: boolean;
  /** Whether it is proven that no choice keeps all budgets. */
  readonly nothingFits: boolean;
  /** The LUTs of every choice that fits and has these weighted blocks, at least; null: not known. */
  readonly lutsBound: number | null;
  /** What closed it: `none` where arithmetic was enough, otherwise the engines used. */
  readonly engine: string;
  /** Why engines failed, one reason for each; [] where none did. */
  readonly failures: readonly string[];
}

/** Columns of a stage from which on the relaxation is asked first: highs takes few milliseconds for fewer. */
const COLUMNS_TO_GUIDE = 150;

/** Columns up to which the blocks are solved together with all that comes after them, where budgets bind: with more, one after the other is sooner. */
const MOST_TOGETHER = 1000;

/** The part of the time that a first plan within the budgets is sought for, before one that overruns them is bettered. */
const PART_TO_FIT = 0.3;

/** Steps after which prices leave a stage to the relaxation. */
const STEPS_BEFORE_GUIDE = 30;

interface Progress extends Held {
  readonly proven: boolean;
  /** Lower bound on the weighted blocks; null: none known. */
  readonly bound: number | null;
  /** Lower bound on the LUTs where the weighted blocks are proven least; null: none known. */
  readonly lutsBound: number | null;
}

class PackSolver {
  private readonly solving: Solving;
  /** The program that is solved: without the budget of the only pool, as long as that says no more than the blocks do. */
  private pack: PackProgram;
  /** The columns of which one does not break a budget by itself. */
  private readonly fitting: ReadonlySet<number>;
  /** Whether blocks may hold more than two fragments, so that there is a variable a pattern. */
  private readonly patterned: boolean;

  constructor(
    private readonly given: PackProgram,
    private readonly options: PackSolveOptions,
  ) {
    this.solving = new Solving(options.deadlineMs ?? USUAL_DEADLINE_MS, options.signal);
    this.patterned = !given.shareKeys.every(sharedByTwo);
    this.pack = this.patterned ? withoutOnlyPool(given) : given;
    this.fitting = fittingOf(this.pack);
  }

  /**
   * Solves the objectives one after the other, each within the values of the earlier ones, from a start that keeps
   * all rows. Stops at the first that is not proven. `atLeast`: a proven bound on the first.
   */
  private async stages(
    start: Held,
    budgets: Stage["budgets"],
    chosen: readonly Component[] | null,
    objectives: readonly (Objective | "overrun")[],
    atLeast: number | null = null,
  ): Promise<Progress | "infeasible"> {
    const { pack } = this;
    const owners = chosen === null ? null : ownersOf(chosen);
    const own = this.restrict(start.counts, owners);
    const rest = start.counts.map((count, i) => count - own[i]!);
    const settled: { objective: Objective | "overrun"; value: number }[] = [];
    let held: Held = { counts: own, patterns: start.patterns };
    let isFit = budgets !== "hard" || fits(pack, held);
    const bounds: { [K in Objective | "overrun"]?: number | null } = {};
    const progress = (proven: boolean): Progress => ({
      counts: held.counts.map((count, i) => count + rest[i]!),
      patterns: held.patterns,
      proven,
      bound: bounds.blocks ?? null,
      lutsBound: bounds.luts ?? null,
    });
    const cuts: Cut[] = [];
    let columns = budgets === "hard" ? this.fitting : null;
    while (settled.length < objectives.length) {
      const left = objectives.slice(settled.length);
      const task = { settled, budgets, owners, components: chosen ?? components(pack) };
      const bound = settled.length === 0 ? atLeast : null;
      const known = { held: isFit ? held : null, columns, lasting: columns, bound };
      const step = await this.step(task, left, cuts, known);
      if (step === "infeasible") return "infeasible";
      columns = step.lasting;
      if (step.held !== null) {
        held = step.held;
        isFit = true;
      }
      bounds[left[0]!] = step.bound;
      if (!isFit || step.proven === 0) return progress(false);
      const worthIn = worthOf(pack, held);
      for (const objective of left.slice(0, step.proven)) {
        settled.push({ objective, value: worthIn(objective) });
      }
      if (step.cut !== null) cuts.push(step.cut(settled.at(-step.proven)!.value));
    }
    return progress(true);
  }

  /** The next objectives: by prices where they close the first, else by an engine, all at once where it can. */
  private async step(
    task: StageFrame,
    objectives: readonly (Objective | "overrun")[],
    cuts: readonly Cut[],
    start: Pick<Step, "held" | "columns" | "lasting" | "bound">,
  ): Promise<Step | "infeasible"> {
    await this.solving.pause();
    const [objective] = objectives;
    let known: Step = { ...start, proven: 0, floor: objective === "overrun" ? start.bound : null, cut: null };
    if (start.held !== null && this.solving.isLate) return known;
    const { engine = "auto" } = this.options;
    const narrow = this.isNarrowed;
    // Prices and models know nothing of overruns.
    const soft = task.budgets === "soft";
    let limited: StageModel | null = null;
    if (objective !== "overrun") {
      const settled = soft ? [] : (task.settled as { objective: Objective; value: number }[]);
      const budgets = task.budgets === "hard";
      const model = stageModel(
        {
          pack: this.pack,
          objective: objective!,
          settled,
          budgets,
          stopAt: this.solving.stopAt,
          cuts,
          pause: this.solving.pause,
        },
        task.components,
        start.columns,
      );
      if (!model.parts.every(hasChoice)) return "infeasible";
      if (!soft) limited = model;
      if (engine === "auto" && budgets && settled.length === 0 && model.rows.length === 0) {
        const found = this.unshared(model, objectives as Objective[]);
        if (found !== null) return found;
      }
      if (engine === "auto" && !soft && !narrow) {
        const priced = await this.priced(model, known, this.isGuided(start.columns));
        if (priced === "infeasible" || priced.proven > 0) return priced;
        known = priced;
      }
      const together = narrow
        ? objective !== "blocks"
        : model.exactShares &&
          engine !== "javascript-lp-solver" &&
          // Without budgets the stages one by one are proven sooner.
          !(
            objective === "blocks" &&
            (task.budgets === "none" || this.sizeOf(start.columns) > MOST_TOGETHER)
          );
      const sum = together && objectives.length > 1 ? sumOf(model, objectives as Objective[]) : null;
      if (sum !== null) {
        const found = await (narrow
          ? this.narrowed(task, sum, known)
          : this.solved(task, sum, known, limited));
        if (found === "infeasible") return found;
        if (found !== null && (found.proven > 0 || this.solving.isLate)) return found;
        known = found ?? known;
      }
    }
    const alone = { aims: [{ objective: objective!, weight: 1 }], later: 0 };
    return (
      (narrow ? await this.narrowed(task, alone, known) : null) ?? this.solved(task, alone, known, limited)
    );
  }

  /** All objectives where no block is shared; null where that takes long. */
  private unshared(model: StageModel, objectives: readonly Objective[]): Step | "infeasible" | null {
    const sum = sumOf(model, objectives);
    if (sum === null) return null;
    const { columns } = weightedCosts(
      this.pack,
      sum.aims as readonly { objective: Objective; weight: number }[],
    );
    const counts = solveUnshared(model, columns);
    if (counts === null) return null;
    this.solving.closedBy("dynamic programming");
    if (counts === "infeasible") return counts;
    const held = { counts, patterns: null };
    const bound = worth(this.pack, objectives[0]!, held);
    return { held, proven: objectives.length, bound, columns: null, floor: null, cut: null, lasting: null };
  }

  /** Whether highs solves stages on few of their variables. */
  private get isNarrowed(): boolean {
    return this.patterned && allPatternsInPlay(this.pack) && this.options.engine !== "javascript-lp-solver";
  }

  /** One or more objectives by highs on the columns and patterns that good solutions may use; null where that fails. */
  private async narrowed(
    task: StageFrame,
    { aims, later }: WeightedSum,
    known: Step,
  ): Promise<Step | "infeasible" | null> {
    const { pack } = this;
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
        stopAt: this.solving.stopAt,
        giveUpAt: this.solving.afterPart(PART_TO_FIT),
        signal: this.options.signal,
      },
    );
    await this.solving.pause();
    this.solving.closedBy("highs");
    if (infeasible && start === null && best === null) return "infeasible";
    if (failure !== null) this.solving.failed("highs", failure);
    const unpriced = reduced === null && !this.solving.isLate;
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
    const lasting = isLast ? used : await this.withOutdone(used, outdone, all, value);
    return { ...known, held, proven: aims.length, bound: least, lasting };
  }

  /**
   * The columns that solutions of a stage worth `value` may use, from those that they may use besides what another one stands in for: later objectives
   * may be better with that.
   */
  private async withOutdone(
    used: ReadonlySet<number>,
    outdone: ReadonlyMap<number, number>,
    stage: Stage,
    value: number,
  ): Promise<ReadonlySet<number>> {
    const alike = [...outdone].flatMap(([column, other]) => (used.has(other) ? [column] : []));
    const both = new Set([...used, ...alike]);
    const staged = stageProgram(this.pack, { ...stage, columns: both });
    const relaxation = await solveRelaxation(staged.program, this.solving.timeLeft);
    const reduced =
      relaxation.status === "optimal" ? pricesFromDuals(staged.program, relaxation.duals) : null;
    if (reduced === null) return both;
    return columnsOfValue(staged, reduced, value, objectiveStep(staged.program));
  }

  /** The first objective by prices alone. */
  private async priced(model: StageModel, known: Step, isGuided: boolean): Promise<Step | "infeasible"> {
    const { pack } = this;
    const { held: incumbent } = known;
    const { objective } = model.task;
    const start =
      incumbent === null ? null : { counts: incumbent.counts, value: worth(pack, objective, incumbent) };
    const near = (choice: readonly number[]) => {
      if (!model.task.budgets || !model.exactShares) return null;
      const counts = improved(pack, choice, this.solving.stopAt);
      const { overrun, objectives } = spendingOf(pack, counts);
      const keeps = model.task.settled.every((each) => objectives[each.objective] <= each.value);
      return overrun === 0 && keeps ? { counts, value: objectives[objective] } : null;
    };
    const priced = await priceColumns(model, start, isGuided ? { steps: STEPS_BEFORE_GUIDE } : { near });
    const best = priced.incumbent;
    const closed = priced.bound >= (best?.value ?? priced.ceiling);
    if (closed) this.solving.closedBy("prices");
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

  /** Whether the relaxation is asked before an engine: it takes milliseconds, as small programs do by themselves. */
  private isGuided(columns: Stage["columns"]): boolean {
    const isLarge = this.sizeOf(columns) >= COLUMNS_TO_GUIDE;
    return !this.patterned && this.options.engine !== "javascript-lp-solver" && isLarge;
  }

  private sizeOf(columns: Stage["columns"]): number {
    return columns?.size ?? this.pack.columns.length;
  }

  /** One or more objectives by an engine, from what is known of the first. */
  private async solved(
    task: StageFrame,
    { aims, later }: WeightedSum,
    before: Step,
    model: StageModel | null,
  ): Promise<Step | "infeasible"> {
    const { pack } = this;
    const { pause } = this.solving;
    const { engine: asked = "auto" } = this.options;
    let known = before;
    const isGuided = this.isGuided(before.columns);
    if (isGuided) {
      known = await solveGuided(this.solving, pack, task, { aims, later }, model, before);
      if (known.proven > 0) return known;
    }
    const { held: best, columns, floor } = known;
    const stage: Stage = { ...task, minimise: aims, atLeast: floor, columns };
    const { objective, weight } = aims[0]!;
    const together = aims.length > 1;
    const complete = allPatternsInPlay(pack);
    const relaxed = complete
      ? null
      : await generatePatterns(pack, stage, { stopAt: this.solving.stopAt, signal: this.options.signal });
    const staged = stageProgram(pack, stage);
    const { program } = staged;
    if (!program.variables.some((variable) => variable.objective !== 0)) {
      return { ...known, proven: best === null ? 0 : aims.length, bound: 0 };
    }
    const run = (engine: Engine) => {
      const options = {
        ...this.solving.timeLeft,
        ...(best === null ? {} : { incumbent: sumOfAims(pack, aims, best) }),
      };
      return isGuided && engine === "highs"
        ? solveSizedWhole({ program, columns: this.sizeOf(columns) }, options, together ? null : known.bound)
        : solveWith(engine, program, options);
    };
    // Not whichever is quicker at the moment: of several optima, the same design has to get the same one again.
    let engine: Engine = asked === "auto" ? "highs" : asked;
    let outcome = await run(engine);
    if (asked === "auto" && outcome.status === "failed") {
      this.solving.failed(engine, outcome.reason);
      if (together) return known;
      engine = "javascript-lp-solver";
      outcome = unproven(await run(engine));
    }
    await pause();
    this.solving.closedBy(engine);
    if (outcome.status === "failed") this.solving.failed(engine, outcome.reason);
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
      this.solving.failed(engine, FINDS_NONE);
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

  /** The counts of some owners only, the others at zero. */
  private restrict(counts: readonly number[], owners: Stage["owners"]): number[] {
    return counts.map((count, index) => {
      if (owners === null) return count;
      const { sort, owner } = this.pack.columns[index]!;
      return (sort === "request" ? owners.requests : owners.groups).has(owner) ? count : 0;
    });
  }

  /** `nothingFits`: proven. */
  private solution(
    { counts, patterns, bound, lutsBound }: Progress,
    proven: boolean,
    nothingFits = false,
  ): PackSolution {
    const spending = spendingOf(this.pack, counts, patterns);
    const { blocks, luts } = spending.objectives;
    const known = Math.min(blocks, Math.max(bound ?? 0, independentBound(this.pack)));
    const fewest = spending.overrun === 0 && known === blocks && lutsBound !== null;
    return {
      counts,
      spending,
      bound: proven ? blocks : known,
      proven,
      nothingFits,
      lutsBound: proven ? luts : fewest ? Math.min(luts, lutsBound) : null,
      engine: this.solving.engines,
      failures: this.solving.failures,
    };
  }

  async run(): Promise<PackSolution> {
    const start = independentBest(this.pack);
    if (start === null) throw new RangeError("a memory has no candidate");
    // Where the cheapest choices fit, budgets will hardly bind: without them the program is smaller.
    const free = spendingOf(this.pack, start).overrun === 0 ? await this.unlimited(start) : null;
    if (free !== null && fits(this.pack, free)) {
      return this.withAllBudgets(free, true);
    }
    const begin = free?.counts ?? start;
    // Where there are patterns, no prices look for a choice that fits.
    const first = this.patterned ? improved(this.pack, begin, this.solving.stopAt) : begin;
    const begun = { counts: first, patterns: null };
    const hard = await this.stages(begun, "hard", null, OBJECTIVES);
    if (hard === "infeasible") return this.overrunning(begun, true);
    if (fits(this.pack, hard)) return this.withAllBudgets(hard, false);
    // Time ran out before anything that fits was found.
    if (!this.isNarrowed || this.solving.isLate) return this.overrunning(begun, false);
    const near = await withLessOverrun(this.given, this.solving, begun);
    this.solving.closedBy("highs");
    if (!fits(this.given, near)) return this.overrunning(near, false);
    const found = await this.stages(near, "hard", null, OBJECTIVES);
    if (found === "infeasible") throw new Error("a program with a plan that fits was called infeasible");
    return this.withAllBudgets(found, false);
  }

  /**
   * The plan, after one that keeps all budgets but perhaps that of the only pool: as its blocks are the first objective, that budget
   * can be kept only if the fewest blocks keep it. `fewest`: the bound on the blocks holds for all plans, whatever they overrun, so
   * that one that attains it is also the one that overruns least.
   */
  private async withAllBudgets(found: Progress, fewest: boolean): Promise<PackSolution> {
    const { given } = this;
    this.pack = given;
    const { overrun, objectives } = spendingOf(given, found.counts, found.patterns);
    if (overrun === 0) return this.solution(found, found.proven);
    const closed = found.proven || (found.bound !== null && found.bound >= objectives.blocks);
    const nothingFits = closed || (found.bound ?? 0) > blocksWithin(given);
    if (closed && fewest) return this.solution(found, found.proven, true);
    if (this.solving.isLate) return this.solution({ ...found, bound: null }, false, nothingFits);
    return this.overrunning(found, nothingFits);
  }

  /** The plan that overruns least, from a choice that overruns; `proven`: it is known that every plan overruns something. */
  private async overrunning(start: Held, proven: boolean): Promise<PackSolution> {
    this.pack = this.given;
    // Without a plan that fits, a budget is overrun by one unit at least.
    const least = proven ? Math.min(...this.pack.budgets.map(({ weight }) => weight)) : null;
    const near = { counts: improved(this.pack, start.counts, this.solving.stopAt), patterns: null };
    const begin = betterOf(this.pack, near, start, [{ objective: "overrun", weight: 1 }])!;
    const soft = await this.stages(begin, "soft", null, ["overrun", ...OBJECTIVES], least);
    if (soft === "infeasible") throw new Error("the program with overruns allowed was called infeasible");
    // Of the plans that overrun least, none fits where this one does not.
    return this.solution(soft, soft.proven, proven || (soft.proven && !fits(this.pack, soft)));
  }

  /** The best plan as if budgets did not bind: components that share nothing apart, the others together. */
  private async unlimited(start: readonly number[]): Promise<Progress> {
    const sharing = components(this.pack).filter(({ shares }) => shares);
    if (sharing.length === 0) {
      return { counts: start, patterns: null, proven: true, bound: null, lutsBound: null };
    }
    const own = this.restrict(start, ownersOf(sharing));
    const rest = spendingOf(
      this.pack,
      start.map((count, i) => count - own[i]!),
    );
    const found = await this.stages({ counts: start, patterns: null }, "none", sharing, OBJECTIVES);
    if (found === "infeasible") throw new Error("a program without budgets was called infeasible");
    const more = (bound: number | null, objective: Objective) =>
      bound === null ? null : bound + rest.objectives[objective];
    return {
      ...found,
      bound: more(found.bound, "blocks"),
      lutsBound: more(found.lutsBound, "luts"),
    };
  }
}

/** The program without the budget of its pool, where it has only one: the objective that counts first keeps it if anything does. */
function withoutOnlyPool(pack: PackProgram): PackProgram {
  const others = pack.budgets.filter(({ ofPool }) => !ofPool);
  return others.length + 1 === pack.budgets.length ? { ...pack, budgets: others } : pack;
}

/** The weighted blocks that plans within the budget of the only pool have at most. */
function blocksWithin({ budgets, costs, sharedWeight }: PackProgram): number {
  const { limit, spends, shared } = budgets.find(({ ofPool }) => ofPool)!;
  const units = [...spends, ...shared];
  const weights = [...costs.blocks, ...sharedWeight];
  const any = units.findIndex((each) => each > 0);
  return any < 0 ? Number.POSITIVE_INFINITY : (limit * weights[any]!) / units[any]!;
}

/** Whether a column brings fragments to several keys whose blocks are shared in turns. */
function tiesKeys({ columns }: PackProgram, column: number): boolean {
  if (column < 0) return false;
  const keys = new Set<string>();
  for (const { shareKey, stack } of columnCandidate(columns[column]!)?.fragments ?? []) {
    if (stack !== null) keys.add(shareKey);
  }
  return keys.size > 1;
}

/** The columns of which one does not break a budget by itself. */
function fittingOf({ columns, budgets }: PackProgram): ReadonlySet<number> {
  const isWithin = (column: number) => budgets.every(({ spends, limit }) => spends[column]! <= limit);
  return new Set([...columns.keys()].filter(isWithin));
}

function columnsBut(columns: Iterable<number>, outdone: ReadonlyMap<number, number>): ReadonlySet<number> {
  return new Set([...columns].filter((column) => !outdone.has(column)));
}

/** What is left of an outcome whose proofs are not relied on. */
function unproven(outcome: Outcome): Outcome {
  if (outcome.status === "infeasible") return { status: "out-of-time" };
  return outcome.status === "optimal" ? { ...outcome, status: "feasible", bound: null } : outcome;
}

function ownersOf(list: readonly Component[]): NonNullable<Stage["owners"]> {
  return {
    requests: new Set(list.flatMap(({ requests }) => requests)),
    groups: new Set(list.flatMap(({ group }) => (group === null ? [] : [group]))),
  };
}

/**
 * Chooses a candidate for every memory: fits the budgets, then fewest weighted blocks, then fewest LUTs, then least
 * cascade. Where nothing fits, the plan that overruns least. Within the deadline; what is not proven by then is said.
 * Throws RangeError where a memory has no candidate at all; rejects with the signal's reason where it fires.
 */
export function solvePack(pack: PackProgram, options: PackSolveOptions): Promise<PackSolution> {
  return new PackSolver(pack, options).run();
}
