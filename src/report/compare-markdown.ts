import type { Comparison } from "../advise/compare/index.js";
import {
  aspectWords,
  budgetName,
  cautions,
  changedWords,
  figureRows,
  gainLines,
  memoryLines,
  sideLine,
  verdict,
} from "./compare.js";
import { listed, plain, signed } from "./text.js";

/** Text that stands in a table cell as it is: no character of it marks anything up. */
function cell(text: string): string {
  return plain(text).replace(/[\\`*_{}[\]<>()#+!|~&-]/g, (mark) =>
    // A sign or a dash inside a cell marks nothing up, and reads better bare.
    mark === "+" || mark === "-" ? mark : `\\${mark}`,
  );
}

function table(heads: readonly string[], right: number, rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  const rule = heads.map((_, index) => (index > 0 && index <= right ? "--:" : "---"));
  return [line(heads), line(rule), ...rows.map(line)].join("\n");
}

/** The headline: what every pool gained, and whether that is allowed. */
function headline({ budgets, passed }: Comparison): string {
  const pools = budgets.filter(({ unit, change }) => unit === "blocks" && change !== 0);
  const gains = pools.map((budget) => `${signed(budget.change)} ${cell(budgetName(budget))}`);
  const words = gains.length > 0 ? listed(gains) : "no change in blocks";
  return `### Block RAM: ${words} (${passed ? "passed" : "failed"})`;
}

/** A comparison in Markdown with tables, for a comment on a change under review. */
export function compareMarkdown(comparison: Comparison): string {
  const figures = figureRows(comparison).map(([name = "", ...figures]) => {
    const of = name.startsWith(" ") ? `wasted: ${name.trim()}` : name;
    return [cell(of), ...figures];
  });
  const memories = comparison.memories.map((each) => [
    cell(each.name),
    aspectWords(each),
    memoryLines(each.old).map(cell).join("<br>"),
    memoryLines(each.new).map(cell).join("<br>"),
    gainLines(each).map(cell).join("<br>"),
  ]);
  const parts = [
    headline(comparison),
    cell(verdict(comparison)),
    table(["", "old", "new", "change", "allowed"], 4, figures),
    changedWords(comparison),
  ];
  if (memories.length > 0) parts.push(table(["memory", "changed", "old", "new", "gained"], 0, memories));
  parts.push(...cautions(comparison));
  parts.push(`Old: ${cell(sideLine(comparison.old))}  \nNew: ${cell(sideLine(comparison.new))}`);
  return `${parts.join("\n\n")}\n`;
}
