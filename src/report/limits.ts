import type { Plan } from "../model/index.js";
import { jsonText, objectiveFields, totalsFields } from "./json.js";
import { figure, percent, plain } from "./text.js";
import { budgets } from "./totals.js";

/** A limit that a plan does not keep. */
export interface BrokenLimit {
  readonly limit: "blocks" | "luts" | "waste";
  /** The pool, `LUTs` or `LUTs as memory`; `waste` for the wasted share. */
  readonly name: string;
  /** Blocks, logic units, or for `waste` a share from 0 to 1. */
  readonly used: number;
  readonly allowed: number;
}

/**
 * The limits that a plan breaks: its budgets, and the largest share of wasted block bits (0 to 1; null: no such
 * limit). Empty where it keeps all. A design without blocks wastes nothing.
 */
export function brokenLimits(plan: Plan, maxWaste: number | null = null): BrokenLimit[] {
  const broken: BrokenLimit[] = budgets(plan)
    .filter(({ used, available }) => used > available)
    .map(({ name, used, available, floor }) => ({
      limit: floor === null ? "luts" : "blocks",
      name,
      used,
      allowed: available,
    }));
  const wasted = wastedShare(plan);
  if (maxWaste !== null && wasted > maxWaste) {
    broken.push({ limit: "waste", name: "waste", used: wasted, allowed: maxWaste });
  }
  return broken;
}

function wastedShare({ totals }: Plan): number {
  return totals.blockBits === 0 ? 0 : totals.wastedBits / totals.blockBits;
}

/** One line for each broken limit, or one line that says what is used; then what is proven. Ends with a line end. */
export function limitsText(plan: Plan, broken: readonly BrokenLimit[]): string {
  const title = `${plain(plan.design)} on ${plain(plan.device)}`;
  const { proven, nothingFits } = plan.objective;
  const proof = proven ? "proven optimal" : nothingFits ? "proven: no plan fits" : "not proven optimal";
  if (broken.length === 0) {
    const used = budgets(plan).map(
      (budget) => `${figure(budget.used, 1)} of ${figure(budget.available, 1)} ${plain(budget.name)}`,
    );
    const waste = `${percent(plan.totals.wastedBits, plan.totals.blockBits)} of the block bits wasted`;
    return `${title} fits (${proof}): ${[...used, waste].join(", ")}\n`;
  }
  const lines = broken.map(({ limit, name, used, allowed }) => {
    if (limit === "waste") {
      return `waste: ${figure(100 * used, 2)}% of the block bits, ${figure(100 * allowed, 2)}% allowed`;
    }
    const unit = limit === "blocks" ? " blocks" : "";
    const over = `${figure(used - allowed, 1)} over`;
    return `${plain(name)}: ${figure(used, 1)}${unit} used, ${figure(allowed, 1)} allowed, ${over}`;
  });
  return `${title} breaks ${broken.length === 1 ? "a limit" : `${broken.length} limits`} (${proof})\n${lines.join("\n")}\n`;
}

/** The same as JSON text, format `ramtailor-check/1`, with the plan's totals. */
export function limitsJson(plan: Plan, broken: readonly BrokenLimit[]): string {
  return jsonText({
    format: "ramtailor-check/1",
    design: plan.design,
    device: plan.device,
    passed: broken.length === 0,
    broken: broken.map(({ limit, name, used, allowed }) => ({ limit, name, used, allowed })),
    status: plan.status,
    objective: objectiveFields(plan.objective),
    totals: totalsFields(plan.totals),
  });
}
