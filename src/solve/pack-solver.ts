import {
  OBJECTIVES,
  type Objective,
  type PackProgram,
  type Spending,
  type Stage,
  spendingOf,
} from "../program/index.js";
import { type Component, components } from "./components.js";
import { betterOf, fits, type Held, worthOf } from "./held.js";
import { withLessOverrun } from "./less-overrun.js";
import type { Cut } from "./limits.js";
import { improved } from "./local-search.js";
import { nextStep } from "./next-step.js";
import { type PackSolveOptions, USUAL_DEADLINE_MS } from "./pack-solve-options.js";
import { isNarrowed, isPatterned, type Packing } from "./packing.js";
import { Solving } from "./solving.js";
import { independentBest, independentBound } from "./start.js";

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

interface Progress extends Held {
  readonly proven: boolean;
  /** Lower bound on the weighted blocks; null: none known. */
  readonly bound: number | null;
  /** Lower bound on the LUTs where the weighted blocks are proven least; null: none known. */
  readonly lutsBound: number | null;
}

class PackSolver {
  private readonly solving: Solving;
  /** With the program that is solved: without the budget of the only pool, as long as that says no more than the blocks do. */
  private packing: Packing;
  /** The columns of which one does not break a budget by itself. */
  private readonly fitting: ReadonlySet<number>;

  constructor(
    private readonly given: PackProgram,
    { engine = "auto", deadlineMs = USUAL_DEADLINE_MS, signal }: PackSolveOptions,
  ) {
    this.solving = new Solving(deadlineMs, signal);
    const pack = isPatterned(given) ? withoutOnlyPool(given) : given;
    this.packing = { pack, engine, solving: this.solving };
    this.fitting = fittingOf(pack);
  }

  private get pack(): PackProgram {
    return this.packing.pack;
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
      const step = await nextStep(this.packing, task, left, cuts, known);
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
    const first = isPatterned(this.pack) ? improved(this.pack, begin, this.solving.stopAt) : begin;
    const begun = { counts: first, patterns: null };
    const hard = await this.stages(begun, "hard", null, OBJECTIVES);
    if (hard === "infeasible") return this.overrunning(begun, true);
    if (fits(this.pack, hard)) return this.withAllBudgets(hard, false);
    // Time ran out before anything that fits was found.
    if (!isNarrowed(this.packing) || this.solving.isLate) return this.overrunning(begun, false);
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
    this.packing = { ...this.packing, pack: given };
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
    this.packing = { ...this.packing, pack: this.given };
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

/** The columns of which one does not break a budget by itself. */
function fittingOf({ columns, budgets }: PackProgram): ReadonlySet<number> {
  const isWithin = (column: number) => budgets.every(({ spends, limit }) => spends[column]! <= limit);
  return new Set([...columns.keys()].filter(isWithin));
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
