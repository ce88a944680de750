import { type DesignRead, readDesign } from "../input/design.js";
import { InputError, type Source } from "../input/diagnostics.js";
import { looksLikePlan, MAX_PLAN_BYTES, readPlan } from "../input/plan.js";
import { readSource } from "../input/read-source.js";
import type { Plan } from "../model/index.js";
import { asTyped } from "./as-typed.js";
import type { Io } from "./io.js";

/** A file that holds a design or a saved plan. */
export type DesignOrPlan =
  | { readonly sort: "design"; readonly read: DesignRead }
  /** Right in form; its figures are not yet checked. */
  | { readonly sort: "plan"; readonly plan: Plan; readonly source: Source };

/** Reads a design or a saved plan, told apart by what is in the file. Throws InputError where it cannot be used. */
export function openDesignOrPlan(path: string, io: Io): DesignOrPlan {
  const source = { ...asTyped(path, io, (full) => readSource(full, MAX_PLAN_BYTES)), file: path };
  if (looksLikePlan(source.text)) {
    const read = readPlan(source);
    if (!read.ok) throw new InputError(source, read.diagnostics);
    return { sort: "plan", plan: read.plan, source };
  }
  const read = readDesign(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return { sort: "design", read };
}
