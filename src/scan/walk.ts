import { figure } from "../model/words.js";
import type { ProcessFound } from "./elaborate.js";
import { evaluate, NotConstant } from "./evaluate.js";
import type { Library } from "./library.js";
import type { Path } from "./path.js";
import type { Question } from "./question.js";
import { Scope } from "./scope.js";
import type { Event, Expr, Process, Stmt } from "./syntax.js";

/** When a process runs. */
export type Timing =
  /** At an edge. `resets`: other edges that it waits for. */
  | {
      readonly sort: "clocked";
      readonly clock: Expr;
      readonly edge: "posedge" | "negedge" | "edge";
      readonly resets: number;
    }
  /** Whenever an input changes. */
  | { readonly sort: "combinational" }
  /** A latch, as far as it says so itself. */
  | { readonly sort: "latch" }
  | { readonly sort: "initial" };

/** One thing that a process does, in one round of its loops. */
export type Step = { readonly path: Path | null; readonly scope: Scope; readonly at: number } & (
  | { readonly does: "assign"; readonly target: Expr; readonly value: Expr; readonly blocking: boolean }
  /** A condition or a selector is looked at, or an argument is given. */
  | { readonly does: "look"; readonly value: Expr }
  | { readonly does: "call"; readonly name: string; readonly args: readonly Expr[] }
);

/** What a process does, with its loops unrolled. */
export interface Walked {
  readonly timing: Timing;
  readonly steps: readonly Step[];
  readonly questions: readonly Question[];
}

/** Most steps and rounds that a loop is unrolled to, with the loops in it. */
const MOST_STEPS = 50_000;

/** Longest chain of `else if` whose arms carry the conditions of all before them. */
const MOST_CONDITIONS = 64;

/** Unrolls a process. Loops without constant bounds count as one round with an unknown variable, and are asked about. */
export function walk({ process, scope }: ProcessFound, library: Library): Walked {
  try {
    return new Walker(process.get(), scope, library).walked();
  } catch (error) {
    // The stack of calls is full: text that is nested thousands of levels deep.
    if (!(error instanceof RangeError)) throw error;
    const text =
      "this process is nested too deep to be read; what it does to memories is left out: what does it do?";
    return {
      timing: { sort: "combinational" },
      steps: [],
      questions: [{ code: "hidden-access", at: process.at, text }],
    };
  }
}

class Walker {
  private readonly steps: Step[] = [];
  private readonly questions: Question[] = [];
  /** Loops around the statement that is run, and steps and rounds since the outermost one began. */
  private loops = 0;
  private spent = 0;

  constructor(
    private readonly process: Process,
    private readonly scope: Scope,
    private readonly library: Library,
  ) {}

  walked(): Walked {
    const timing = this.timing();
    this.run(this.process.body, null, this.scope, "");
    return { timing, steps: this.steps, questions: this.questions };
  }

  private timing(): Timing {
    const { sort, body } = this.process;
    if (sort === "initial") return { sort: "initial" };
    if (sort === "always_latch") return { sort: "latch" };
    const timed = firstTimed(body);
    const edges = timed?.events.filter(({ edge, signal }) => edge !== null && signal !== null) ?? [];
    if (timed === null || edges.length === 0) return { sort: "combinational" };
    const { clock, sure } = clockOf(edges, timed.body);
    if (!sure) {
      const text = "which of the edges here is the clock? The first is taken";
      this.questions.push({ code: "clock", at: timed.at, text });
    }
    return { sort: "clocked", clock: clock.signal!, edge: clock.edge!, resets: edges.length - 1 };
  }

  private add(step: Step): void {
    this.steps.push(step);
    this.spent++;
  }

  private look(value: Expr, path: Path | null, scope: Scope): void {
    this.add({ does: "look", value, path, scope, at: value.at });
  }

  private run(statement: Stmt, path: Path | null, scope: Scope, round: string): void {
    if (this.full()) return;
    const { at } = statement;
    switch (statement.op) {
      case "block": {
        const inner = statement.body.some(({ op }) => op === "locals") ? new Scope(scope) : scope;
        for (const each of statement.body) this.run(each, path, inner, round);
        return;
      }
      case "locals":
        for (const { name, value, at: where } of statement.names) {
          scope.bind(name, {
            is: "signal",
            type: statement.type,
            id: `${scope.path}${name}@${where}`,
            scope,
            direction: null,
          });
          if (value === null) continue;
          const target: Expr = { op: "name", name, scope: null, at: where };
          this.add({ does: "assign", target, value, blocking: true, path, scope, at: where });
        }
        return;
      case "timed":
        this.run(statement.body, path, scope, round);
        return;
      case "if":
        this.branches(statement, path, scope, round);
        return;
      case "case": {
        const { on, arms, wild } = statement;
        this.look(on, path, scope);
        const values = arms.flatMap(
          ({ labels }) => labels?.map((label) => this.constant(label, scope)) ?? [],
        );
        const id = values.includes(null) ? `${at} ${round}` : `${at} ${values.join()}`;
        arms.forEach(({ labels, body }, arm) => {
          for (const label of labels ?? []) {
            if (this.constant(label, scope) === null) this.look(label, path, scope);
          }
          const label = labels?.length === 1 && !wild ? labels[0]! : null;
          this.run(body, { sort: "arm", around: path, id, arm, on, label, scope }, scope, round);
        });
        return;
      }
      case "for":
        this.looped(at, () => this.unroll(statement, path, scope, round));
        return;
      case "foreach":
        this.looped(at, () => this.foreach(statement, path, scope, round));
        return;
      case "loop": {
        const times =
          statement.sort === "repeat" && statement.when !== null
            ? this.constant(statement.when, scope)
            : null;
        if (statement.when !== null && times === null) this.look(statement.when, path, scope);
        if (times === null)
          this.ask(
            at,
            "how often this loop runs is no known constant; one round is taken: how often does it?",
          );
        else if (times > 1n) this.ask(at, "each round of this loop is taken to do the same: is it so?");
        this.run(statement.body, path, scope, round);
        return;
      }
      case "assign": {
        const { target, value, blocking } = statement;
        this.add({ does: "assign", target, value, blocking, path, scope, at });
        return;
      }
      case "call":
        this.add({ does: "call", name: statement.name, args: statement.args, path, scope, at });
        return;
      case "return":
        if (statement.value !== null) this.look(statement.value, path, scope);
        return;
      case "other":
        for (const value of statement.parts) this.look(value, path, scope);
        return;
    }
  }

  /** `if` with all its `else if`s. */
  private branches(first: Extract<Stmt, { op: "if" }>, path: Path | null, scope: Scope, round: string): void {
    const id = `${first.at} ${round}`;
    let around = path;
    let rest: Stmt | null = first;
    for (let arm = 0; rest !== null; arm++) {
      if (rest.op !== "if") {
        this.run(rest, around, scope, round);
        return;
      }
      const { when, taken, otherwise }: Extract<Stmt, { op: "if" }> = rest;
      const known = this.constant(when, scope);
      rest = otherwise;
      if (known !== null) {
        if (known === 0n) continue;
        this.run(taken, around, scope, round);
        return;
      }
      this.look(when, around, scope);
      // Arms far down a chain keep the conditions of the first ones, and their place.
      const base = arm < MOST_CONDITIONS ? around : path;
      this.run(
        taken,
        { sort: "if", around: base, when, holds: true, chain: { id, arm }, scope },
        scope,
        round,
      );
      const chain = { id, arm: arm + 1 };
      around = { sort: "if", around: base, when, holds: false, chain, scope };
    }
  }

  /** True where the loops around take too many steps; straight text may be as long as it likes. */
  private full(): boolean {
    return this.loops > 0 && this.spent > MOST_STEPS;
  }

  /** Unrolls a loop; asks where it, or one in it, is cut short. What stands after the outermost one still counts. */
  private looped(at: number, unroll: () => void): void {
    if (this.loops === 0) this.spent = 0;
    this.loops++;
    unroll();
    const cut = this.full();
    this.loops--;
    if (cut && this.loops === 0) {
      this.ask(
        at,
        `this loop takes more than ${figure(MOST_STEPS)} steps; the rest is left out: does every round do the same?`,
      );
    }
  }

  private ask(at: number, text: string): void {
    this.questions.push({ code: "not-constant", at, text });
  }

  private unroll(
    { name, from, when, next, body, at }: Extract<Stmt, { op: "for" }>,
    path: Path | null,
    scope: Scope,
    round: string,
  ): void {
    let value = this.constant(from, scope);
    while (value !== null) {
      const inside = new Scope(scope);
      inside.bind(name, { is: "constant", value });
      const goes = this.constant(when, inside);
      if (goes === null) break;
      if (goes === 0n) return;
      this.run(body, path, inside, `${round}/${value}`);
      this.spent++;
      if (this.full()) return;
      value = this.constant(next, inside);
    }
    this.ask(at, "a bound of this loop is no known constant; one round is taken: how many are there?");
    this.run(body, path, scope, round);
  }

  private foreach(
    { array, names, body, at }: Extract<Stmt, { op: "foreach" }>,
    path: Path | null,
    scope: Scope,
    round: string,
  ): void {
    const found = scope.find(array);
    const extents = found?.is === "array" ? found.array.extents : [];
    if (names.length > extents.length) {
      this.ask(at, "over what this foreach runs is not known; one round is taken: how many are there?");
      this.run(body, path, scope, round);
      return;
    }
    const inner = (depth: number, around: Scope, place: string): void => {
      const extent = extents[depth];
      const name = names[depth];
      if (extent === undefined || name === undefined) {
        this.run(body, path, around, place);
        return;
      }
      for (let i = 0; i < extent.size && !this.full(); i++) {
        this.spent++;
        const inside = new Scope(around);
        inside.bind(name, { is: "constant", value: BigInt(extent.low + i) });
        inner(depth + 1, inside, `${place}/${i}`);
      }
    };
    inner(0, scope, round);
  }

  private constant(expr: Expr, scope: Scope): bigint | null {
    try {
      return evaluate(expr, scope, this.library);
    } catch (error) {
      if (error instanceof NotConstant) return null;
      throw error;
    }
  }
}

/** The event control at the head of a process. */
function firstTimed(body: Stmt): Extract<Stmt, { op: "timed" }> | null {
  if (body.op === "timed") return body;
  const first = body.op === "block" ? body.body[0] : undefined;
  if (first?.op !== "timed" || body.op !== "block") return null;
  return { ...first, body };
}

/** Names that the conditions at the head of a body test, through its `else if`s. */
function tested(body: Stmt): Set<string> {
  const names = new Set<string>();
  let rest: Stmt | null | undefined = body;
  while (rest?.op === "block") rest = rest.body.find(({ op }) => op === "if");
  while (rest?.op === "if") {
    collect(rest.when, names);
    rest = rest.otherwise;
  }
  return names;
}

function collect(expr: Expr, names: Set<string>): void {
  if (expr.op === "name") names.add(expr.name);
  else if (expr.op === "unary") collect(expr.of, names);
  else if (expr.op === "binary") {
    collect(expr.left, names);
    collect(expr.right, names);
  }
}

/** The clock among edges: the one that the first conditions do not test. */
function clockOf(edges: readonly Event[], body: Stmt): { readonly clock: Event; readonly sure: boolean } {
  const [first] = edges;
  if (edges.length === 1) return { clock: first!, sure: true };
  const names = tested(body);
  const left = edges.filter(({ signal }) => !(signal?.op === "name" && names.has(signal.name)));
  return left.length === 1 ? { clock: left[0]!, sure: true } : { clock: left[0] ?? first!, sure: false };
}
