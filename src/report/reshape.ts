import type { Figures, Reshaped, ReshapeRow, Sequence } from "../advise/index.js";
import { type DesignEdit, flowText } from "../input/index.js";
import { type Column, fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { paint } from "./paint.js";
import { ESTIMATE_NOTE } from "./table.js";
import { counted, figure, listed, plain, shortBits, shortCount } from "./text.js";

/** Failed changes that the table names; JSON has them all. */
const NAMED_FAILURES = 3;

/**
 * Changes of a design as text: one a row with what packing the whole design again came to, the best combination where it
 * was asked for, and the changes that cannot be packed. No line is wider than the width. Ends with a line end.
 */
export function reshapeTable(result: Reshaped, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong, faint } = paint(color);
  const title = `${plain(result.design)} on ${plain(result.device)}: ${counted(result.rows.length, "change")}`;
  const parts = [
    [strong(prose(title, width)), prose(`As it stands: ${figuresText(result.before)}.`, width)].join("\n"),
  ];
  if (result.rows.length > 0) {
    const columns: Column[] = [
      { head: "#", width: 3, align: "right" },
      { head: "change, and what to write", width: 42 + width - 100, wrap: true },
      { head: "\nblocks", width: 10, align: "right" },
      { head: "\nLUTs", width: 7, align: "right" },
      { head: "regis-\nters", width: 6, align: "right" },
      { head: "cas-\ncade", width: 4, align: "right" },
      { head: "\nbits", width: 6, align: "right" },
      { head: "archi-\ntecture", width: 9 },
    ];
    const rows = result.rows.map((row) => cells(row, result.before));
    parts.push([grid(fitted(columns, rows, width), rows, color), faint(prose(LEGEND, width))].join("\n"));
  } else {
    parts.push(prose("No change that was looked at saves a block or gives capacity for nothing.", width));
  }
  const further = (["size", "behaviour"] as const).filter((effect) => !result.allow.includes(effect));
  if (further.length > 0) {
    const words = further.map((effect) => `--allow ${effect}`);
    parts.push(
      prose(
        `Changes in ${listed(further)} are left out; ${listed(words)} ${further.length > 1 ? "show" : "shows"} them.`,
        width,
      ),
    );
  }
  if (result.best !== null) parts.push(bestText(result.best, result.before, width, color));
  if (result.failed.length > 0) parts.push(failedText(result, width, color));
  parts.push(prose(ESTIMATE_NOTE, width));
  return `${parts.join("\n\n")}\n`;
}

const LEGEND =
  "Each row stands alone: the whole design was packed again with this one change; two rows may claim the same room. " +
  "Blocks and cascade: before>after, where they change. LUTs, registers and bits are those more or less; bits are " +
  "capacity (K = 1,024). " +
  'Architecture: same capacity and behaviour, a change in size, or in behaviour; what stands after "if" only you can ' +
  "confirm.";

function cells(row: ReshapeRow, before: Figures): string[] {
  const lines = [
    plain(row.title),
    ...row.needs.map((need) => `needs ${plain(need)}`),
    ...(row.confirm === null ? [] : [`if ${plain(row.confirm)}`]),
    ...editLines(row.edits),
    ...(row.after.status === "feasible" ? ["not proven optimal"] : []),
  ];
  const blocks = Object.keys(row.saved).flatMap((pool) => {
    const [from, to] = [before, row.after].map((figures) => figure(figures.blocks[pool] ?? 0, 1));
    return [`${from}>${to}`, plain(pool)];
  });
  return [
    String(row.number),
    lines.join("\n"),
    blocks.join("\n") || ".",
    signed(row.moreLuts, shortCount),
    signed(row.moreRegisters, shortCount),
    row.after.cascade === before.cascade ? "." : `${before.cascade}>${row.after.cascade}`,
    signed(row.moreBits, shortBits),
    row.effect,
  ];
}

function signed(value: number, text: (value: number) => string): string {
  if (value === 0) return ".";
  return `${value > 0 ? "+" : "-"}${text(Math.abs(value))}`;
}

/** What to write in the design file, a line for each edit. */
function editLines(edits: readonly DesignEdit[]): string[] {
  return edits.map((edit) => {
    if ("list" in edit) return `> ${edit.list}: add ${plain(flowText(edit.entry))}`;
    const value = edit.value === null ? "leave out" : plain(flowText(edit.value));
    return `> ${plain(edit.path)}: ${value}`;
  });
}

function figuresText({ status, blocks, over, luts, registers }: Figures): string {
  const used = Object.entries(blocks).map(([pool, count]) => `${figure(count, 1)} ${plain(pool)}`);
  const excess = Object.entries(over).map(([pool, count]) => `${figure(count, 1)} ${plain(pool)}`);
  const words = {
    optimal: "proven optimal",
    feasible: "not proven optimal",
    "over-budget": excess.length > 0 ? `does not fit: ${listed(excess)} too many` : "does not fit",
  };
  return `${listed([...used, `${figure(luts)} LUTs`, counted(registers, "register")])} (${words[status]})`;
}

function bestText(best: Sequence, before: Figures, width: number, color: boolean): string {
  const { strong } = paint(color);
  if (best.steps.length === 0) {
    return [
      strong("Best combination"),
      prose("None: no combination takes less than the design as it stands.", width),
    ].join("\n");
  }
  const lines = best.steps.flatMap(({ change, figures }, i) => [
    prose(`${i + 1}. ${plain(change.title)}: ${figuresText(figures)}`, width, 3),
    ...change.needs.map((need) => prose(`   needs ${plain(need)}`, width, 3)),
    ...(change.confirm === null ? [] : [prose(`   if ${plain(change.confirm)}`, width, 3)]),
    ...editLines(change.edits).map((line) => prose(`   ${line}`, width, 5)),
  ]);
  const outside = counted(Math.abs(best.extraLuts), "LUT");
  const sign = best.extraLuts > 0 ? "more" : "less";
  const extra = best.extraLuts === 0 ? "" : `, and ${outside} ${sign} outside the memories`;
  const bits = best.figures.capacityBits - before.capacityBits;
  const capacity =
    bits === 0 ? "the same capacity" : `${counted(Math.abs(bits), "bit")} ${bits > 0 ? "more" : "less"}`;
  return [
    strong(`Best combination: ${counted(best.steps.length, "change")}`),
    ...lines,
    prose(`All together: ${figuresText(best.figures)}${extra}; ${capacity}.`, width),
  ].join("\n");
}

function failedText({ failed }: Reshaped, width: number, color: boolean): string {
  const { strong } = paint(color);
  const named = failed.slice(0, NAMED_FAILURES);
  const rest = failed.length - named.length;
  return [
    strong("Cannot be packed, or not within the budgets"),
    ...named.map(({ title, reason }) => prose(`- ${plain(title)}: ${plain(reason)}`, width, 2)),
    ...(rest > 0 ? [prose(`- ${counted(rest, "change")} more; --json lists them`, width, 2)] : []),
  ].join("\n");
}

/** The same as JSON text, format `ramtailor-reshape/1`. */
export function reshapeJson(result: Reshaped): string {
  return jsonText({
    format: result.format,
    design: result.design,
    device: result.device,
    allow: result.allow,
    before: figuresFields(result.before),
    rows: result.rows.map((row) => ({
      number: row.number,
      ...changeFields(row),
      saved: row.saved,
      savedWeight: row.savedWeight,
      moreLuts: row.moreLuts,
      moreRegisters: row.moreRegisters,
      moreBits: row.moreBits,
      after: figuresFields(row.after),
    })),
    failed: result.failed.map(({ title, edits, reason }) => ({ title, edits, reason })),
    best:
      result.best === null
        ? null
        : {
            steps: result.best.steps.map(({ change, figures }) => ({
              change: changeFields(change),
              figures: figuresFields(figures),
            })),
            edits: result.best.edits,
            figures: figuresFields(result.best.figures),
            extraLuts: result.best.extraLuts,
          },
  });
}

function changeFields(change: Sequence["steps"][number]["change"]) {
  const { kind, subject, title, effect, needs, confirm, edits, extraLuts } = change;
  return { kind, subject, title, effect, needs, confirm, edits, extraLuts };
}

function figuresFields(figures: Figures): Figures {
  const { status, blocks, over, weightedBlocks, luts, registers, cascade, capacityBits } = figures;
  return { status, blocks, over, weightedBlocks, luts, registers, cascade, capacityBits };
}
