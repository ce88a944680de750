import { Scope } from "./scope.js";
import type { Expr, Routine, Stmt } from "./syntax.js";

/** Most statements that one call may run. */
const MOST_STEPS = 100_000;

/** Thrown to leave a function, or where it does what is not worked out. */
class Leave extends Error {
  constructor(readonly returned: boolean) {
    super();
  }
}

/**
 * What a function gives for constant arguments; null where it does more than plain assignments to whole variables,
 * conditions and loops, or runs for too long. `evaluate` works out its expressions and may throw.
 */
export function runFunction(
  routine: Routine,
  values: readonly bigint[],
  around: Scope,
  evaluate: (expr: Expr, scope: Scope) => bigint,
): bigint | null {
  const scope = new Scope(around);
  const set = (name: string, value: bigint): void => {
    scope.bind(name, { is: "constant", value });
  };
  set(routine.name, 0n);
  for (const [i, name] of routine.formals.entries()) set(name, values[i] ?? 0n);
  let steps = 0;

  const run = (statement: Stmt): void => {
    if (++steps > MOST_STEPS) throw new Leave(false);
    switch (statement.op) {
      case "block":
        for (const each of statement.body) run(each);
        return;
      case "locals":
        for (const { name, value } of statement.names)
          set(name, value === null ? 0n : evaluate(value, scope));
        return;
      case "assign":
        if (statement.target.op !== "name") throw new Leave(false);
        set(statement.target.name, evaluate(statement.value, scope));
        return;
      case "if":
        if (evaluate(statement.when, scope) !== 0n) run(statement.taken);
        else if (statement.otherwise !== null) run(statement.otherwise);
        return;
      case "case": {
        if (statement.wild) throw new Leave(false);
        const on = evaluate(statement.on, scope);
        const arm =
          statement.arms.find(({ labels }) => labels?.some((label) => evaluate(label, scope) === on)) ??
          statement.arms.find(({ labels }) => labels === null);
        if (arm !== undefined) run(arm.body);
        return;
      }
      case "for":
        set(statement.name, evaluate(statement.from, scope));
        while (evaluate(statement.when, scope) !== 0n) {
          run(statement.body);
          set(statement.name, evaluate(statement.next, scope));
        }
        return;
      case "loop":
        if (statement.when === null) throw new Leave(false);
        if (statement.sort === "repeat") {
          for (let left = evaluate(statement.when, scope); left > 0n; left--) run(statement.body);
          return;
        }
        if (statement.sort === "do") run(statement.body);
        while (evaluate(statement.when, scope) !== 0n) run(statement.body);
        return;
      case "return":
        if (statement.value !== null) set(routine.name, evaluate(statement.value, scope));
        throw new Leave(true);
      default:
        throw new Leave(false);
    }
  };

  try {
    for (const statement of routine.body) run(statement);
  } catch (error) {
    if (!(error instanceof Leave)) throw error;
    if (!error.returned) return null;
  }
  const result = scope.own(routine.name);
  return result?.is === "constant" ? result.value : null;
}
