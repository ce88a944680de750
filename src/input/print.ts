import { LineCounter } from "yaml";
import type { SourceRange } from "../model/index.js";
import type { Diagnostic, Source } from "./diagnostics.js";

/** A place in a text: line and column, both from 1, the column in UTF-16 code units. */
export interface Position {
  readonly line: number;
  readonly column: number;
}

/** Most characters of a source line that are shown. */
const SHOWN = 80;
/** Characters shown before the place when the line has to be cut. */
const LEAD = 24;

/** Start of every line of a text. */
function lineStarts(text: string): number[] {
  const starts = [0];
  for (let at = text.indexOf("\n"); at >= 0; at = text.indexOf("\n", at + 1)) starts.push(at + 1);
  return starts;
}

function locate(starts: readonly number[], offset: number): Position {
  const counter = new LineCounter();
  counter.lineStarts = starts as number[];
  const { line, col } = counter.linePos(offset);
  return { line, column: col };
}

/** Line and column of an offset in a text; an offset past the end gives the place just after the last character. */
export function positionOf(text: string, offset: number): Position {
  return locate(lineStarts(text), Math.max(0, Math.min(offset, text.length)));
}

/** One character wide for each code unit, so that the carets line up; a control character cannot act. */
function visible(text: string): string {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are the characters to take out
  return text.replace(/\t/g, " ").replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]/g, "?");
}

/** The line of the place, cut to 80 characters around it, and carets under the part of the range on that line. */
function excerpt(line: string, column: number, length: number): string[] {
  const at = column - 1;
  let from = 0;
  if (line.length > SHOWN) from = Math.max(0, Math.min(at - LEAD, line.length - SHOWN));
  const to = Math.min(line.length, from + SHOWN);
  let shown = visible(line.slice(from, to));
  if (from > 0) shown = `…${shown.slice(1)}`;
  if (to < line.length) shown = `${shown.slice(0, -1)}…`;
  const carets = Math.max(1, Math.min(length, to - at));
  return [`    ${shown}`, `    ${" ".repeat(at - from)}${"^".repeat(carets)}`];
}

function printOne(source: Source, starts: readonly number[], diagnostic: Diagnostic): string {
  const words = `${diagnostic.severity}: ${visible(diagnostic.message)}`;
  const range: SourceRange | null = diagnostic.range;
  if (range === null) return `${diagnostic.file}: ${words}`;
  const start = Math.max(0, Math.min(range.start, source.text.length));
  const { line, column } = locate(starts, start);
  const lineStart = starts[line - 1] ?? 0;
  const lineEnd = (starts[line] ?? source.text.length + 1) - 1;
  const text = source.text.slice(lineStart, lineEnd).replace(/\r$/, "");
  const place = `${diagnostic.file}:${line}:${column}: ${words}`;
  if (text.trim() === "") return place;
  return [place, ...excerpt(text, column, range.end - start)].join("\n");
}

/**
 * Diagnostics as text for a person: for each `file:line:column: error: message`, then the source line and carets
 * under the place. One about the whole file has no line. "" for none; else it ends with a line break.
 */
export function printDiagnostics(source: Source, diagnostics: readonly Diagnostic[]): string {
  const starts = lineStarts(source.text);
  return diagnostics.map((d) => `${printOne(source, starts, d)}\n`).join("");
}
