import { evaluate, NotConstant } from "./evaluate.js";
import type { Library } from "./library.js";
import type { Scope } from "./scope.js";
import type { Expr } from "./syntax.js";

/** The conditions under which a statement runs, innermost first; null: always. */
export type Path =
  | {
      readonly sort: "if";
      readonly around: Path | null;
      readonly when: Expr;
      /** True where the condition holds, false where it does not. */
      readonly holds: boolean;
      /**
       * Tells a chain of `else if` from others, with the place in it, so that arms of long chains are known to exclude
       * each other without the conditions of all arms before them; null: no part of one.
       */
      readonly chain: { readonly id: string; readonly arm: number } | null;
      readonly scope: Scope;
    }
  | {
      readonly sort: "arm";
      readonly around: Path | null;
      /** Tells one case statement from others: its place and its labels, or the round of its loops where they are none. */
      readonly id: string;
      readonly arm: number;
      readonly on: Expr;
      /** The one label of the arm; null where it has several, wildcards or none. */
      readonly label: Expr | null;
      readonly scope: Scope;
    };

/** What has to hold on a path: for each thing that is tested, its value. */
export type Facts = ReadonlyMap<string, string>;

/** Names what has to hold, without the places in chains of `else if`: equal for equal conditions in two rounds of a loop. */
export function conditionsOf(facts: Facts): string {
  return [...facts]
    .filter(([what]) => !what.startsWith("if "))
    .map(([what, value]) => `${what}=${value}`)
    .sort()
    .join(";");
}

/** Gives the facts of paths. `text` names an expression so that equal names mean equal values. */
export class PathFacts {
  private readonly known = new WeakMap<Path, Map<string, string>>();
  private static readonly none: Facts = new Map();

  constructor(
    private readonly library: Library,
    private readonly text: (expr: Expr, scope: Scope) => string,
  ) {}

  of(path: Path | null): Facts {
    return path === null ? PathFacts.none : this.facts(path);
  }

  private facts(path: Path): Map<string, string> {
    const made = this.known.get(path);
    if (made !== undefined) return made;
    const facts = new Map(path.around === null ? [] : this.facts(path.around));
    if (path.sort === "if") {
      if (path.chain !== null) facts.set(`if ${path.chain.id}`, String(path.chain.arm));
      this.add(facts, path.when, path.holds, path.scope);
    } else {
      facts.set(`case ${path.id} ${this.text(path.on, path.scope)}`, String(path.arm));
      if (path.label !== null) {
        const value = this.constant(path.label, path.scope);
        if (value !== null) facts.set(`= ${this.text(path.on, path.scope)}`, String(value));
        // case (1'b1): the label is the condition.
        else if (this.constant(path.on, path.scope) === 1n) this.add(facts, path.label, true, path.scope);
      }
    }
    this.known.set(path, facts);
    return facts;
  }

  private add(facts: Map<string, string>, when: Expr, holds: boolean, scope: Scope): void {
    if (when.op === "unary" && (when.sign === "!" || when.sign === "~")) {
      this.add(facts, when.of, !holds, scope);
      return;
    }
    if (when.op === "binary") {
      const { sign, left, right } = when;
      const both = holds ? sign === "&&" || sign === "&" : sign === "||" || sign === "|";
      if (both) {
        this.add(facts, left, holds, scope);
        this.add(facts, right, holds, scope);
        return;
      }
      const equal = (sign === "==" || sign === "===") === holds && /^[!=]==?$/.test(sign);
      if (equal) {
        const [a, b] = [this.constant(left, scope), this.constant(right, scope)];
        if (b !== null && a === null) {
          facts.set(`= ${this.text(left, scope)}`, String(b));
          return;
        }
        if (a !== null && b === null) {
          facts.set(`= ${this.text(right, scope)}`, String(a));
          return;
        }
      }
    }
    facts.set(this.text(when, scope), String(holds));
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

/** True where two paths can never be taken in the same cycle. */
export function exclude(one: Facts, other: Facts): boolean {
  const [few, many] = one.size < other.size ? [one, other] : [other, one];
  for (const [what, value] of few) {
    const there = many.get(what);
    if (there !== undefined && there !== value) return true;
  }
  return false;
}
