import {
  OBJECTIVES,
  type Objective,
  type PackProgram,
  type Spending,
  type Stage,
  spendingOf,
  stageProgram,
} from "../program/index.js";
import type { Engine } from "./protocol.js";
import { solve } from "./solve.js";
import { type Component, components, independentBest, independentBound, repaired } from "./start.js";

/** How long and with what a pack program may be solved. */
export interface PackSolveOptions {
  /** Default `auto`. */
  readonly engine?: "auto" | Engine | undefined;
  /** Milliseconds for all stages together; default 10,000. */
  readonly deadlineMs?: number | undefined;
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
}

interface Progress {
  counts: readonly number[];
  proven: boolean;
  bound: number | null;
}

class PackSolver {
  private readonly stopAt: number;
  private readonly engines = new Set<string>();

  constructor(
    private readonly pack: PackProgram,
    private readonly options: PackSolveOptions,
  ) {
    this.stopAt = Date.now() + (options.deadlineMs ?? 10_000);
  }

  private get engineNames(): string {
    return this.engines.size === 0 ? "none" : [...this.engines].sort().join(" + ");
  }

  /**
   * Solves the objectives one after the other, each within the values of the earlier ones, from a start that keeps
   * all rows. Stops at the first that is not proven.
   */
  private async stages(
    start: readonly number[],
    budgets: Stage["budgets"],
    owners: Stage["owners"],
    objectives: readonly (Objective | "overrun")[],
  ): Promise<Progress | "infeasible"> {
    const settled: { objective: Objective | "overrun"; value: number }[] = [];
    let counts = start;
    let blocksBound: number | null = null;
    const worth = (objective: Objective | "overrun", of: readonly number[]) => {
      const spending = spendingOf(this.pack, of);
      return objective === "overrun" ? spending.overrun : spending.objectives[objective];
    };
    const startFits = budgets !== "hard" || spendingOf(this.pack, start).overrun === 0;
    let fits = startFits;
    for (const objective of objectives) {
      const stage: Stage = { minimise: objective, settled, budgets, owners };
      const { program, columnOf } = stageProgram(this.pack, stage);
      if (!program.variables.some((variable) => variable.objective !== 0)) continue;
      const restricted = this.restrict(counts, owners);
      const { outcome, engine } = await solve(program, {
        engine: this.options.engine,
        deadlineMs: Math.max(1, this.stopAt - Date.now()),
        signal: this.options.signal,
        ...(fits ? { incumbent: worth(objective, restricted) } : {}),
      });
      this.engines.add(engine);
      if (outcome.status === "infeasible" && !fits) return "infeasible";
      if (outcome.status === "optimal" || outcome.status === "feasible") {
        const next = [...counts];
        columnOf.forEach((column, variable) => {
          if (column >= 0) next[column] = outcome.x[variable]!;
        });
        const better = !fits || worth(objective, this.restrict(next, owners)) <= worth(objective, restricted);
        if (better) counts = next;
        fits = true;
      }
      const value = worth(objective, this.restrict(counts, owners));
      const proven = outcome.status === "optimal" && value <= outcome.bound;
      if (objective === "blocks") {
        blocksBound =
          outcome.status === "optimal" || outcome.status === "feasible" ? (outcome.bound ?? null) : null;
      }
      if (!proven) return { counts, proven: false, bound: blocksBound };
      settled.push({ objective, value });
    }
    return { counts, proven: true, bound: blocksBound };
  }

  /** The counts of some owners only, the others at zero. */
  private restrict(counts: readonly number[], owners: Stage["owners"]): number[] {
    return counts.map((count, index) => {
      if (owners === null) return count;
      const { sort, owner } = this.pack.columns[index]!;
      return (sort === "request" ? owners.requests : owners.groups).has(owner) ? count : 0;
    });
  }

  private solution(counts: readonly number[], bound: number | null, proven: boolean): PackSolution {
    const spending = spendingOf(this.pack, counts);
    const value = spending.objectives.blocks;
    const known = Math.min(value, Math.max(bound ?? 0, independentBound(this.pack)));
    return { counts, spending, bound: proven ? value : known, proven, engine: this.engineNames };
  }

  async run(): Promise<PackSolution> {
    const start = independentBest(this.pack);
    if (start === null) throw new RangeError("a memory has no candidate");
    const free = await this.unlimited(start);
    if (spendingOf(this.pack, free.counts).overrun === 0) {
      return this.solution(free.counts, free.bound, free.proven);
    }
    const first = repaired(this.pack, free.counts);
    const hard = await this.stages(first, "hard", null, OBJECTIVES);
    if (hard !== "infeasible" && spendingOf(this.pack, hard.counts).overrun === 0) {
      return this.solution(hard.counts, hard.bound, hard.proven);
    }
    const soft = await this.stages(first, "soft", null, ["overrun", ...OBJECTIVES]);
    if (soft === "infeasible") throw new Error("the program with overruns allowed was called infeasible");
    return this.solution(soft.counts, soft.bound, soft.proven && hard === "infeasible");
  }

  /** The best plan as if budgets did not bind: components that share nothing apart, the others together. */
  private async unlimited(start: readonly number[]): Promise<Progress> {
    const sharing = components(this.pack).filter(({ shares }) => shares);
    if (sharing.length === 0) return { counts: start, proven: true, bound: null };
    const owners = ownersOf(sharing);
    const rest = spendingOf(
      this.pack,
      start.map((count, i) => count - this.restrict(start, owners)[i]!),
    );
    const found = await this.stages(start, "none", owners, OBJECTIVES);
    if (found === "infeasible") throw new Error("a program without budgets was called infeasible");
    const bound = found.bound === null ? null : found.bound + rest.objectives.blocks;
    return { ...found, bound };
  }
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
 * Throws RangeError where a memory has no candidate at all.
 */
export function solvePack(pack: PackProgram, options: PackSolveOptions): Promise<PackSolution> {
  return new PackSolver(pack, options).run();
}
