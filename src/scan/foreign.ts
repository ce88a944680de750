import type { Elaborated } from "./elaborate.js";
import type { Library } from "./library.js";
import type { Question } from "./question.js";
import type { Scope } from "./scope.js";
import type { Expr } from "./syntax.js";
import { walk } from "./walk.js";

/** Arrays of other modules that a module reaches by the names of instances: asked about, not followed. */
export function foreignAccesses(
  module: Elaborated,
  arrays: ReadonlySet<string>,
  library: Library,
): Question[] {
  const instances = new Set(
    module.instances.map(
      ({ name }) =>
        name
          .replace(/\[-?\d+\]/g, "")
          .split(".")
          .at(-1)!,
    ),
  );
  if (instances.size === 0) return [];
  const questions: Question[] = [];
  for (const found of module.processes) {
    const { words } = found.process;
    let names = false;
    let holds = false;
    for (const word of words) {
      names ||= instances.has(word);
      holds ||= arrays.has(word);
    }
    if (!names || !holds) continue;
    for (const step of walk(found, library).steps) {
      const parts =
        step.does === "assign" ? [step.target, step.value] : step.does === "look" ? [step.value] : step.args;
      for (const name of parts.flatMap((part) => reached(part, step.scope, arrays))) {
        const text = `${name} is reached from ${module.text.name} here, which is not counted: which port of it does this use?`;
        questions.push({ code: "hidden-access", at: step.at, text });
      }
    }
  }
  return questions;
}

/** Dotted names in an expression that start with an instance and end with the name of an array. */
function reached(syntax: unknown, scope: Scope, arrays: ReadonlySet<string>): string[] {
  if (Array.isArray(syntax)) return syntax.flatMap((each) => reached(each, scope, arrays));
  if (typeof syntax !== "object" || syntax === null) return [];
  const expr = syntax as Expr;
  if (expr.op === "member" && arrays.has(expr.name)) {
    const path = pathOf(expr);
    if (path !== null && scope.find(path[0]!)?.is === "instance") return [path.join(".")];
  }
  return Object.values(syntax).flatMap((each) => reached(each, scope, arrays));
}

/** The names of `a.b[1].c`. */
function pathOf(expr: Expr): string[] | null {
  if (expr.op === "name") return [expr.name];
  if (expr.op === "index") return pathOf(expr.of);
  if (expr.op !== "member") return null;
  const before = pathOf(expr.of);
  return before === null ? null : [...before, expr.name];
}
