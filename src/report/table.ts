import type { Plan } from "../model/index.js";
import { fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { memoryColumns, memoryRow } from "./memory-rows.js";
import { paint } from "./paint.js";
import { counted, plain } from "./text.js";
import { totalsText } from "./totals.js";
import { sharingMemories, worstMemories } from "./why.js";

/** The caution that ends every report of a plan. */
export const ESTIMATE_NOTE =
  "These figures are estimates before place-and-route: the vendor's handbook and the timing report of the " +
  "finished design decide.";

/**
 * A plan as text: a table of the memories, the totals with what is proven, the memories that waste most with the
 * reason, warnings. No line is wider than the width. Ends with a line end.
 */
export function planTable(plan: Plan, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong, faint } = paint(color);
  const columns = memoryColumns(width);
  const sharing = sharingMemories(plan);
  const rows = plan.memories.map((memory) => memoryRow(memory, sharing.has(memory.name), columns[0]!.width));
  const worst = worstMemories(plan);
  const title = `${plain(plan.design)} on ${plain(plan.device)}: ${counted(plan.memories.length, "memory", "memories")}`;
  const parts = [
    strong(prose(title, width)),
    [grid(fitted(columns, rows, width), rows, color), faint(prose(LEGEND, width))].join("\n"),
    totalsText(plan, width, color),
  ];
  if (worst.length > 0) {
    const sentences = worst.map(({ sentence }, i) => prose(`${i + 1}. ${sentence}`, width, 3));
    parts.push([strong("Most waste"), ...sentences].join("\n"));
  }
  if (plan.warnings.length > 0) {
    const notes = plan.warnings.map(({ subject, message }) =>
      prose(`- ${plain(subject)}: ${plain(message)}`, width, 2),
    );
    parts.push([strong("Warnings"), ...notes].join("\n"));
  }
  parts.push(prose(ESTIMATE_NOTE, width));
  return `${parts.join("\n\n")}\n`;
}

const LEGEND =
  "Sums are over all instances (x4: four of them). K = 1,024 bits. Waste in percent of the bits held: copies = " +
  "copies for ports, width and depth = padding, lost = bits that the shape cannot address. Cascade: most blocks " +
  "one above the other behind a multiplexer.";
