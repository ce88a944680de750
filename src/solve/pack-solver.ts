import { type Pause, pauseFor } from "../model/pause.js";
import {
  OBJECTIVES,
  type Objective,
  type PackProgram,
  type Spending,
  type Stage,
  type StagedProgram,
  spendingOf,
  stageProgram,
  type UsedPattern,
} from "../program/index.js";
import { roundUpBound } from "./bound.js";
import { generatePatterns } from "./column-generation.js";
import { type Component, components } from "./components.js";
import { labelSearch } from "./labels.js";
import type { Cut } from "./limits.js";
import type { Outcome } from "./outcome.js";
import { columnsWithin, cutOf, priceColumns } from "./prices.js";
import type { Engine } from "./protocol.js";
import { relaxedPrices } from "./relaxed.js";
import { solve } from "./solve.js";
import { stageModel } from "./stage-model.js";
import { independentBest, independentBound, repaired } from "./start.js";

/** How long and with what a pack program may be solved. */
export interface PackSolveOptions {
  /** Default `auto`. */
  readonly engine?: "auto" | Engine | undefined;
  /** Milliseconds for all stages together; default 10,000. */
  readonly deadlineMs?: number | undefined;
  /** Ends the packing, which then rejects with the signal's reason. Default: none. */
  readonly signal?: AbortSignal | undefined;
}

/** A choice for every column, with what is known about it. */
export interface PackSolution {
  /** Items of each column. */
  readonly counts: readonly number[];
  readonly spending: Spending;
  /** A proven lower bound on the weighted blocks (of the plans that overrun least, where none fits). */
  readonly bound: number;
  /** All stages proven: the overrun, the blocks, then the LUTs, then the cascade. */
  readonly proven: boolean;
  /** What closed it: `none` where arithmetic was enough, otherwise the engines used. */
  readonly engine: string;
  /** Why engines failed, each reason once; [] where none did. */
  readonly failures: readonly string[];
}

/** Columns of a stage up to which prices by steps are close enough, so that no engine has to start. */
const FEW_COLUMNS = 120;

/** A choice in hand: items of each column, and how stack keys are filled where an engine chose. */
interface Held {
  readonly counts: readonly number[];
  readonly patterns: Spending["patterns"] | null;
}

/** What one stage came to. */
interface Step {
  readonly held: Held | null;
  /** Lower bound on the stage's objective; null: none known. */
  readonly bound: number | null;
  /** What the stage proved about all solutions of a value, for the next stages. */
  readonly cut: ((value: number) => Cut) | null;
  /** True where the next objective is proven too. */
  readonly tied?: boolean;
}

interface Progress extends Held {
  readonly proven: boolean;
  /** Lower bound on the weighted blocks; null: none known. */
  readonly bound: number | null;
}

function worth(pack: PackProgram, objective: Objective | "overrun", { counts, patterns }: Held): number {
  const spending = spendingOf(pack, counts, patterns);
  return objective === "overrun" ? spending.overrun : spending.objectives[objective];
}

class PackSolver {
  private readonly stopAt: number;
  private readonly closers = new Set<string>();
  private readonly failures = new Set<string>();
  private readonly pause: Pause;

  constructor(
    private readonly pack: PackProgram,
    private readonly options: PackSolveOptions,
  ) {
    this.stopAt = Date.now() + (options.deadlineMs ?? 10_000);
    this.pause = pauseFor(options.signal);
  }

  private get engineNames(): string {
    return this.closers.size === 0 ? "none" : [...this.closers].sort().join(" + ");
  }

  /**
   * Solves the objectives one after the other, each within the values of the earlier ones, from a start that keeps
   * all rows. Stops at the first that is not proven.
   */
  private async stages(
    start: readonly number[],
    budgets: Stage["budgets"],
    chosen: readonly Component[] | null,
    objectives: readonly (Objective | "overrun")[],
  ): Promise<Progress | "infeasible"> {
    const { pack } = this;
    const owners = chosen === null ? null : ownersOf(chosen);
    const rest = start.map((count, i) => count - this.restrict(start, owners)[i]!);
    const settled: { objective: Objective | "overrun"; value: number }[] = [];
    let held: Held = { counts: this.restrict(start, owners), patterns: null };
    let fits = budgets !== "hard" || spendingOf(pack, held.counts).overrun === 0;
    let blocksBound: number | null = null;
    const progress = (proven: boolean): Progress => ({
      counts: held.counts.map((count, i) => count + rest[i]!),
      patterns: held.patterns,
      proven,
      bound: blocksBound,
    });
    const cuts: Cut[] = [];
    for (const objective of objectives) {
      const stage: Stage = { minimise: objective, settled, budgets, owners, columns: null };
      const step = await this.stage(stage, chosen ?? components(pack), cuts, fits ? held : null);
      if (step === "infeasible") return "infeasible";
      if (step.held !== null) {
        held = step.held;
        fits = true;
      }
      if (objective === "blocks") blocksBound = step.bound;
      const value = worth(pack, objective, held);
      if (!fits || step.bound === null || value > step.bound) return progress(false);
      settled.push({ objective, value });
      if (step.cut !== null) cuts.push(step.cut(value));
      if (step.tied === true && objective === "luts") break;
    }
    return progress(true);
  }

  /** One stage: by prices and search where they close it, by the engines for what they leave open. */
  private async stage(
    stage: Stage,
    chosen: readonly Component[],
    cuts: readonly Cut[],
    incumbent: Held | null,
  ): Promise<Step | "infeasible"> {
    const { pack, pause } = this;
    await pause();
    let cut: Step["cut"] = null;
    const { minimise: objective } = stage;
    if (incumbent !== null && Date.now() > this.stopAt) return { held: incumbent, bound: null, cut };
    let best = incumbent;
    let columns: Stage["columns"] = null;
    let known: number | null = null;
    if (objective !== "overrun" && stage.budgets !== "soft" && (this.options.engine ?? "auto") === "auto") {
      const settled = stage.settled as { objective: Objective; value: number }[];
      const start = best === null ? null : { counts: best.counts, value: worth(pack, objective, best) };
      const task = {
        pack,
        objective,
        settled,
        budgets: stage.budgets === "hard",
        stopAt: this.stopAt,
        cuts,
        pause,
      };
      const model = stageModel(task, chosen);
      let priced = await priceColumns(model, start);
      /** The best in hand; `tie` where the next objective is settled too. */
      const finish = (closer: string, tied: boolean): Step | "infeasible" => {
        this.closers.add(closer);
        if (priced.incumbent === null) return "infeasible";
        const held = priced.incumbent === start ? best : { counts: priced.incumbent.counts, patterns: null };
        return { held, bound: priced.incumbent.value, cut, tied };
      };
      cut = (value) => cutOf(priced, value);
      const goal = () => priced.incumbent?.value ?? priced.ceiling;
      if (priced.bound >= goal()) return finish("prices", false);
      if (model.active.length > FEW_COLUMNS || !model.exactShares) {
        const run = { deadlineMs: Math.max(1, this.stopAt - Date.now()), signal: this.options.signal };
        priced = (await relaxedPrices(model, priced, run)) ?? priced;
        await pause();
        if (priced.bound >= goal()) return finish("prices", false);
      }
      if (model.exactShares) {
        const found = await labelSearch(model, priced);
        priced = { ...priced, bound: Math.max(priced.bound, found.bound), incumbent: found.incumbent };
        if (found.closed) return finish("labels", model.tie !== null);
      }
      if (priced.incumbent !== null && priced.incumbent !== start) {
        best = { counts: priced.incumbent.counts, patterns: null };
      }
      columns = columnsWithin(model, priced, goal());
      known = priced.bound;
    }
    const complete = pack.shareKeys.every((key) => key.sort === "pair" || key.complete);
    const relaxed = complete
      ? null
      : await generatePatterns(pack, stage, { stopAt: this.stopAt, signal: this.options.signal });
    const { program, columnOf, patternOf } = stageProgram(pack, { ...stage, columns });
    if (!program.variables.some((variable) => variable.objective !== 0)) return { held: best, bound: 0, cut };
    const { engine: asked = "auto" } = this.options;
    const run = (engine: Engine) =>
      solve(program, {
        engine,
        deadlineMs: Math.max(1, this.stopAt - Date.now()),
        signal: this.options.signal,
        ...(best === null ? {} : { incumbent: worth(pack, objective, best) }),
      });
    // Not whichever is quicker at the moment: of several optima, the same design has to get the same one again.
    let solved = await run(asked === "auto" ? "highs" : asked);
    if (asked === "auto" && solved.outcome.status === "failed") {
      this.failures.add(`${solved.engine}: ${solved.outcome.reason}`);
      solved = await run("javascript-lp-solver");
      solved = { ...solved, outcome: unproven(solved.outcome) };
    }
    const { outcome, engine } = solved;
    await pause();
    this.closers.add(engine);
    if (outcome.status === "failed") this.failures.add(`${engine}: ${outcome.reason}`);
    // With patterns left out, what an engine proves holds for those in play only; the relaxation's bound holds for all.
    // Patterns that are not in play may cost other LUTs than multiples of the step of those that are.
    const rounded = (value: number) =>
      objective === "luts" ? Math.ceil(value - 1e-6) : roundUpBound(program, value);
    const proven = complete ? known : relaxed === null ? known : Math.max(rounded(relaxed), known ?? 0);
    if (outcome.status === "infeasible") {
      if (best === null) return complete ? "infeasible" : { held: null, bound: proven, cut };
      // Nothing among the columns that a better solution needs: what is in hand is the best.
      return complete && columns !== null
        ? { held: best, bound: worth(pack, objective, best), cut }
        : { held: best, bound: proven, cut };
    }
    if (outcome.status !== "optimal" && outcome.status !== "feasible") {
      return { held: best, bound: proven, cut };
    }
    const counts = pack.columns.map(() => 0);
    columnOf.forEach((column, variable) => {
      if (column >= 0) counts[column] = outcome.x[variable]!;
    });
    const next: Held = { counts, patterns: usedPatterns(pack, patternOf, outcome.x) };
    if (best === null || worth(pack, objective, next) <= worth(pack, objective, best)) best = next;
    if (!complete) return { held: best, bound: proven, cut };
    const bound = outcome.bound === null ? known : Math.max(outcome.bound, known ?? outcome.bound);
    return { held: best, bound, cut };
  }

  /** The counts of some owners only, the others at zero. */
  private restrict(counts: readonly number[], owners: Stage["owners"]): number[] {
    return counts.map((count, index) => {
      if (owners === null) return count;
      const { sort, owner } = this.pack.columns[index]!;
      return (sort === "request" ? owners.requests : owners.groups).has(owner) ? count : 0;
    });
  }

  private solution({ counts, patterns, bound }: Progress, proven: boolean): PackSolution {
    const spending = spendingOf(this.pack, counts, patterns);
    const value = spending.objectives.blocks;
    const known = Math.min(value, Math.max(bound ?? 0, independentBound(this.pack)));
    return {
      counts,
      spending,
      bound: proven ? value : known,
      proven,
      engine: this.engineNames,
      failures: [...this.failures],
    };
  }

  async run(): Promise<PackSolution> {
    const start = independentBest(this.pack);
    if (start === null) throw new RangeError("a memory has no candidate");
    // Where the cheapest choices fit, budgets will hardly bind: without them the program is smaller.
    const free = spendingOf(this.pack, start).overrun === 0 ? await this.unlimited(start) : null;
    if (free !== null && spendingOf(this.pack, free.counts, free.patterns).overrun === 0) {
      return this.solution(free, free.proven);
    }
    const first = free?.counts ?? start;
    const hard = await this.stages(first, "hard", null, OBJECTIVES);
    if (hard !== "infeasible" && spendingOf(this.pack, hard.counts, hard.patterns).overrun === 0) {
      return this.solution(hard, hard.proven);
    }
    // Either nothing fits, or time ran out before anything that does was found.
    const soft = await this.stages(repaired(this.pack, first, this.stopAt), "soft", null, [
      "overrun",
      ...OBJECTIVES,
    ]);
    if (soft === "infeasible") throw new Error("the program with overruns allowed was called infeasible");
    return this.solution(soft, soft.proven && hard === "infeasible");
  }

  /** The best plan as if budgets did not bind: components that share nothing apart, the others together. */
  private async unlimited(start: readonly number[]): Promise<Progress> {
    const sharing = components(this.pack).filter(({ shares }) => shares);
    if (sharing.length === 0) return { counts: start, patterns: null, proven: true, bound: null };
    const owners = ownersOf(sharing);
    const rest = spendingOf(
      this.pack,
      start.map((count, i) => count - this.restrict(start, owners)[i]!),
    );
    const found = await this.stages(start, "none", sharing, OBJECTIVES);
    if (found === "infeasible") throw new Error("a program without budgets was called infeasible");
    const bound = found.bound === null ? null : found.bound + rest.objectives.blocks;
    return { ...found, bound };
  }
}

/** What is left of an outcome whose proofs are not relied on. */
function unproven(outcome: Outcome): Outcome {
  if (outcome.status === "infeasible") return { status: "out-of-time" };
  return outcome.status === "optimal" ? { ...outcome, status: "feasible", bound: null } : outcome;
}

function usedPatterns(
  pack: PackProgram,
  patternOf: StagedProgram["patternOf"],
  x: readonly number[],
): Spending["patterns"] {
  const used = pack.shareKeys.map((key): UsedPattern[] | null => (key.sort === "pair" ? null : []));
  patternOf.forEach((entry, variable) => {
    const count = x[variable]!;
    if (entry !== null && count > 0) used[entry.key]!.push({ pattern: entry.pattern, count });
  });
  return used;
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
