import { type Diagnostic, InputError, planRanges, type Source } from "../input/index.js";
import type { Device, Plan } from "../model/index.js";
import { checkFigures } from "./check-figures.js";
import type { Violation } from "./check-report.js";

/** The path in the JSON of the place that a violation names. */
function pathOf(plan: Plan, where: string): (string | number)[] {
  const [, sort, name = ""] = /^(memory|block) (.*)$/.exec(where) ?? [];
  const within = (whole: string) => name === whole || name.startsWith(`${whole},`);
  if (sort === "memory")
    return ["memories", plan.memories.findIndex((memory) => within(memory.name)), "name"];
  if (sort === "block") return ["blocks", plan.blocks.findIndex((block) => within(block.id)), "id"];
  return where in plan ? [where] : [];
}

function diagnosticsOf(source: Source, plan: Plan, violations: readonly Violation[]): Diagnostic[] {
  const at = planRanges(source);
  return violations.map(({ message, where }) => {
    // Of a part with many lines, its first line is the place.
    const range = at.rangeOfKey(pathOf(plan, where));
    return {
      code: "plan-figures",
      severity: "error",
      message: `${where}: the figures do not add up: ${message}`,
      range,
      file: source.file,
    };
  });
}

/**
 * Refuses a saved plan whose figures do not add up. `device`: that of the plan; null where it is not known, and then
 * only sums are checked. Throws {@link InputError} with all that is wrong.
 */
export function refuseWrongFigures(plan: Plan, source: Source, device: Device | null): void {
  const violations = checkFigures(plan, device);
  if (violations.length > 0) throw new InputError(source, diagnosticsOf(source, plan, violations));
}
