import columnsOf from "fast-string-width";
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

/** Lines of at most `width` columns, broken between words; the spaces of a break go. A longer word is a line of its own. */
function wrapped(line: string, width: number): string[] {
  const lines: string[] = [];
  let last = "";
  let taken = 0;
  for (const [, gap = "", word = ""] of line.matchAll(/(\s*)(\S+)/g)) {
    const columns = columnsOf(word);
    if (taken > 0 && taken + gap.length + columns > width) {
      lines.push(last);
      last = word;
      taken = columns;
    } else {
      last += gap + word;
      taken += gap.length + columns;
    }
  }
  return [...lines, last];
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: a colour begins with one.
const COLOR_OR_CHARACTER = /\u001b\[[\d;]*m|./gsu;

/** A line of at most `width` columns; a longer one is cut and ends in an ellipsis. Its colours stay whole. */
function cut(line: string, width: number): string {
  if (columnsOf(line) <= width) return line;
  let room = width - 1;
  let shown = "";
  for (const [part] of line.matchAll(COLOR_OR_CHARACTER)) {
    const columns = columnsOf(part);
    if (columns <= room) shown += part;
    room = columns <= room ? room - columns : 0;
  }
  return `${shown}…`;
}

/** The lines of a cell, each as wide as its column. */
function cellLines(text: string, { width, align, wrap }: Column): string[] {
  const lines = text.split("\n").flatMap((line) => (wrap ? wrapped(line, width) : [line]));
  return lines.map((line) => {
    const shown = cut(line, width);
    const space = " ".repeat(Math.max(0, width - columnsOf(shown)));
    return align === "right" ? space + shown : shown + space;
  });
}

/** The lines of one row, as many as its tallest cell has. No line ends in a space. */
function rowLines(columns: readonly Column[], row: readonly string[]): string[] {
  const cells = columns.map((column, i) => cellLines(row[i] ?? "", column));
  const height = Math.max(...cells.map((lines) => lines.length));
  return Array.from({ length: height }, (_, at) =>
    columns
      .map(({ width }, i) => cells[i]![at] ?? " ".repeat(width))
      .join(" ".repeat(GAP))
      .trimEnd(),
  );
}

/** Rows under headings and a rule, without borders. No line ends in a space; the text ends without a line end. */
export function grid(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  color: boolean,
): string {
  const { strong, faint } = paint(color);
  const heads = columns.map(({ head }) => head.split("\n").map(strong).join("\n"));
  const rules = columns.map(({ head, width }) => (head === "" ? "" : faint("-".repeat(width))));
  const plain = columns.map((column) => ({ ...column, wrap: false }));
  const top = heads.every((head) => head === "") ? [] : [heads, rules].flatMap((row) => rowLines(plain, row));
  return [...top, ...rows.flatMap((row) => rowLines(columns, row))].join("\n");
}

/** Paragraphs wrapped between words to the width; continued lines are indented by `indent` spaces. */
export function prose(text: string, width: number, indent = 0): string {
  const room = width - indent;
  return text
    .split("\n")
    .flatMap((line) => wrapped(line, room))
    .map((line, i) => (i === 0 ? "" : " ".repeat(indent)) + cut(line, room))
    .join("\n");
}
