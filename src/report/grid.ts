import Table from "cli-table3";
import { columnsOf } from "./columns-of.js";
import { paint } from "./paint.js";

/** What every table and text report takes. */
export interface TextOptions {
  /** True: ANSI colours. Default false. */
  readonly color?: boolean;
  /** Columns to fill at most. Default and least 100. */
  readonly width?: number;
}

/** One column: its heading (may have several lines) and its width in characters. */
export interface Column {
  readonly head: string;
  readonly width: number;
  /** Default `left`. */
  readonly align?: "left" | "right";
  /** True: long text goes on in the next line between words. Default: it is cut with an ellipsis. */
  readonly wrap?: boolean;
}

/** Characters between two columns. */
export const GAP = 2;

const NO_BORDER = {
  top: "",
  "top-mid": "",
  "top-left": "",
  "top-right": "",
  bottom: "",
  "bottom-mid": "",
  "bottom-left": "",
  "bottom-right": "",
  left: "",
  "left-mid": "",
  mid: "",
  "mid-mid": "",
  right: "",
  "right-mid": "",
  middle: " ".repeat(GAP),
};

const NO_STYLE = { "padding-left": 0, "padding-right": 0, head: [], border: [] };

/** The width that a report may fill. */
export function reportWidth(options: TextOptions): number {
  return Math.max(100, Math.floor(options.width ?? 100));
}

/**
 * Columns as wide as their longest line, each at most its own `width`; what is left of `total` characters then goes
 * to the columns that are still too narrow, those that wrap first.
 */
export function fitted(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  total: number,
): Column[] {
  const needs = columns.map((column, i) => {
    const lines = [column.head, ...rows.map((row) => row[i] ?? "")].flatMap((cell) => cell.split("\n"));
    return Math.max(1, ...lines.map((line) => columnsOf(line)));
  });
  const widths = columns.map((column, i) => Math.min(column.width, needs[i]!));
  let spare = total - widths.reduce((sum, width) => sum + width + GAP, -GAP);
  const wrapping = columns.flatMap((column, i) => (column.wrap ? [i] : []));
  for (const i of [...wrapping, ...columns.keys()]) {
    const more = Math.max(0, Math.min(spare, needs[i]! - widths[i]!));
    widths[i]! += more;
    spare -= more;
  }
  return columns.map((column, i) => ({ ...column, width: widths[i]! }));
}

/** Rows under headings and a rule, without borders. No line ends in a space; the text ends without a line end. */
export function grid(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  color: boolean,
): string {
  const { strong, faint } = paint(color);
  const table = new Table({
    chars: NO_BORDER,
    style: NO_STYLE,
    colWidths: columns.map((column) => column.width),
    colAligns: columns.map((column) => column.align ?? "left"),
  });
  if (columns.some(({ head }) => head !== "")) {
    const height = Math.max(...columns.map(({ head }) => head.split("\n").length));
    // One row of the table with the rules: what it takes to draw one goes with its cells.
    table.push(
      columns.map(({ head, width }) => {
        const lines = Array.from({ length: height }, (_, i) => strong(head.split("\n")[i] ?? ""));
        return [...lines, head === "" ? "" : faint("-".repeat(width))].join("\n");
      }),
    );
  }
  for (const row of rows) {
    table.push(columns.map((column, i) => ({ content: row[i] ?? "", wordWrap: column.wrap ?? false })));
  }
  return trimmed(table.toString());
}

/** Paragraphs wrapped between words to the width; continued lines are indented by `indent` spaces. */
export function prose(text: string, width: number, indent = 0): string {
  const room = width - indent;
  // Most are one line: no table to draw.
  if (!text.includes("\n") && columnsOf(text) <= room) return text.trimEnd();
  const table = new Table({
    chars: NO_BORDER,
    style: NO_STYLE,
    colWidths: [room],
    wordWrap: true,
  });
  table.push([text]);
  return trimmed(table.toString())
    .split("\n")
    .map((line, i) => (i === 0 ? line : " ".repeat(indent) + line))
    .join("\n");
}

function trimmed(text: string): string {
  return text
    .split("\n")
    .map((line) => line.trimEnd())
    .join("\n");
}
