import type {
  BudgetChange,
  ComparedPlan,
  Comparison,
  Difference,
  MemoryChange,
} from "../advise/compare/index.js";
import type { PlanMemory } from "../model/index.js";
import { type Column, fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { geometryLine, tileLines } from "./memory-rows.js";
import { paint } from "./paint.js";
import { counted, figure, listed, plain, signed } from "./text.js";

/** What a budget is called: its pool, or `LUTs`. */
export function budgetName({ name }: BudgetChange): string {
  return name === "LUT" ? "LUTs" : plain(name);
}

/** The rows of all figures: name, old, new, change, allowed. */
export function figureRows({ budgets, bits }: Comparison): string[][] {
  const row = (name: string, { old, new: after, change }: Difference, allowed = "") => {
    return [name, figure(old, 3), figure(after, 3), signed(change), allowed];
  };
  const { waste } = bits;
  return [
    ...budgets.map((budget) => {
      const allowed = budget.allowed === null ? "-" : `+${figure(budget.allowed, 3)}`;
      return row(budgetName(budget) + (budget.unit === "blocks" ? " blocks" : ""), budget, allowed);
    }),
    row("bits in blocks", bits.requested),
    row("bits outside", bits.logic),
    row("wasted bits", bits.wasted),
    row(" copies", waste.replication),
    row(" width", waste.widthPadding),
    row(" depth", waste.depthPadding),
    row(" lost", waste.unreachable),
  ];
}

/** One side in a sentence. */
export function sideLine({ design, device, memories, fits, proven }: ComparedPlan): string {
  const size = counted(memories, "memory", "memories");
  const proof = proven ? "proven optimal" : "not proven optimal";
  return `${plain(design)} on ${plain(device)}, ${size}: ${fits ? "fits" : "does not fit"}, ${proof}`;
}

/** What changed of a memory, in words. */
export function aspectWords({ change, aspects }: MemoryChange): string {
  return change === "changed" ? aspects.join(", ") : change;
}

/** How a memory was or is laid out, one line a fact. */
export function memoryLines(memory: PlanMemory | null): string[] {
  return memory === null
    ? ["-"]
    : [geometryLine(memory), ...tileLines(memory, false)].flatMap((line) => line.split("\n"));
}

/** What a memory gained: `+2 EBR`, LUTs and wasted bits. */
export function gainLines({ old, new: after, blocks }: MemoryChange): string[] {
  const gain = (of: (memory: PlanMemory) => number) =>
    (after === null ? 0 : of(after)) - (old === null ? 0 : of(old));
  const luts = gain((memory) => memory.luts);
  const registers = gain((memory) => memory.registers);
  const wasted = gain((memory) => memory.wastedBits);
  const lines = Object.entries(blocks).map(([pool, count]) => `${signed(count)} ${plain(pool)}`);
  if (luts !== 0) lines.push(`${signed(luts)} LUTs`);
  if (registers !== 0) lines.push(`${signed(registers)} registers`);
  if (wasted !== 0) lines.push(`${signed(wasted)} bits wasted`);
  return lines.length > 0 ? lines : ["."];
}

/** What the comparison comes to: what is past its allowance, or that nothing is. */
export function verdict({ budgets, passed, new: after }: Comparison): string {
  const past = budgets.filter((budget) => budget.past > 0);
  const words = past.map((budget) => {
    const { change, allowed, unit } = budget;
    const gain = unit === "blocks" ? counted(change, "block") : figure(change);
    return `${budgetName(budget)} gained ${gain}, ${figure(allowed ?? 0, 3)} allowed`;
  });
  if (!after.fits) words.push("the new one does not fit");
  return passed ? "Passed: nothing gained more than is allowed." : `Failed: ${words.join("; ")}.`;
}

/** What makes the figures less certain, if anything does. */
export function cautions({ old, new: after }: Comparison): string[] {
  const found: string[] = [];
  const open = [...(old.proven ? [] : ["the old one"]), ...(after.proven ? [] : ["the new one"])];
  if (open.length > 0) {
    found.push(
      `Not proven optimal: ${listed(open)}. Part of a change may be due to the time that packing was given.`,
    );
  }
  if (old.device !== after.device) {
    found.push("The devices differ: pools of the same name may be of other blocks.");
  }
  return found;
}

/** How many memories changed, in words. */
export function changedWords({ memories, unchanged }: Comparison): string {
  if (memories.length === 0) return `No memory changed, of ${unchanged}.`;
  const count = (change: MemoryChange["change"]) => memories.filter((each) => each.change === change).length;
  const parts = (["changed", "added", "removed"] as const).filter((change) => count(change) > 0);
  const words = parts.map((change) => `${counted(count(change), "memory", "memories")} ${change}`);
  return `${listed(words)}, ${figure(unchanged)} as before.`;
}

/** A comparison as text: all figures side by side, then every memory that changed, then whether it passed. */
export function compareTable(comparison: Comparison, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong, good, bad } = paint(color);
  const figures: Column[] = [
    { head: "", width: 34 },
    { head: "old", width: 16, align: "right" },
    { head: "new", width: 16, align: "right" },
    { head: "change", width: 16, align: "right" },
    { head: "allowed", width: 10, align: "right" },
  ];
  const rows = figureRows(comparison);
  const parts = [
    [
      prose(`old  ${sideLine(comparison.old)}`, width, 5),
      prose(`new  ${sideLine(comparison.new)}`, width, 5),
    ].join("\n"),
    grid(fitted(figures, rows, width), rows, color),
    strong(prose(changedWords(comparison), width)),
  ];
  if (comparison.memories.length > 0) {
    const columns: Column[] = [
      { head: "memory", width: 18 },
      { head: "changed", width: 14, wrap: true },
      { head: "old", width: 20, wrap: true },
      { head: "new", width: 20, wrap: true },
      { head: "gained", width: 20, wrap: true },
    ];
    const cells = comparison.memories.map((each) => [
      plain(each.name),
      aspectWords(each),
      memoryLines(each.old).join("\n"),
      memoryLines(each.new).join("\n"),
      gainLines(each).join("\n"),
    ]);
    parts.push(grid(fitted(columns, cells, width), cells, color));
  }
  parts.push(...cautions(comparison).map((caution) => prose(caution, width)));
  parts.push((comparison.passed ? good : bad)(prose(verdict(comparison), width)));
  return `${parts.join("\n\n")}\n`;
}

const memoryFields = (memory: PlanMemory | null) => {
  if (memory === null) return null;
  const { depth, width, ports, lane, instances, copies, realisation, blocks } = memory;
  const { requestedBits, wastedBits, waste, cascade, luts, registers } = memory;
  return {
    depth,
    width,
    ports,
    lane,
    instances,
    copies,
    realisation,
    blocks,
    requestedBits,
    wastedBits,
    waste,
    cascade,
    luts,
    registers,
  };
};

/** A comparison as JSON text, format `ramtailor-compare/1`; memories without their layouts. */
export function compareJson(comparison: Comparison): string {
  const { old, new: after, passed, budgets, bits, memories, unchanged } = comparison;
  return jsonText({
    format: "ramtailor-compare/1",
    passed,
    old,
    new: after,
    budgets: budgets.map(({ name, unit, old: was, new: is, change, allowed, past }) => ({
      name,
      unit,
      old: was,
      new: is,
      change,
      allowed,
      past,
    })),
    bits,
    memories: memories.map(({ name, change, aspects, old: was, new: is, blocks }) => ({
      name,
      change,
      aspects,
      blocks,
      old: memoryFields(was),
      new: memoryFields(is),
    })),
    unchanged,
  });
}
