import { createHash } from "node:crypto";
import type { SweepOptions, SweepOutcome } from "./sweep.js";

/**
 * The text of a file that a sweep is written to as it goes: JSON, one value a line, the first of which says which
 * sweep it is. What was being written when the program was ended is left out when it is read.
 */
export interface Journal {
  readonly outcomes: readonly SweepOutcome[];
  /** Characters up to the end of the last whole line: where to go on. */
  readonly length: number;
}

/** Why a text is no journal of a sweep. */
export interface JournalProblem {
  /** From 1. */
  readonly line: number;
  readonly problem: string;
}

const FORMAT = "ramtailor-sweep-journal/1";

/**
 * The same for sweeps whose outcomes are the same: the text of the design, its axes, the devices, the engine and the
 * deadline count; conditions, order, trace and threads do not.
 */
export function sweepHash({ source, axes, devices, engine, deadlineMs }: SweepOptions): string {
  const all = [FORMAT, source.text, axes, devices, engine ?? "auto", deadlineMs ?? null];
  return createHash("sha256").update(JSON.stringify(all)).digest("hex");
}

/** The first line of a journal, with its line end. */
export function journalHead(hash: string): string {
  return `${JSON.stringify({ format: FORMAT, sweep: hash })}\n`;
}

/** The line of an outcome, with its line end. */
export function journalLine(outcome: SweepOutcome): string {
  return `${JSON.stringify(outcome)}\n`;
}

/** Reads a journal. A last line without its end is left out; "" and a torn first line are a journal that has not begun. */
export function readJournal(text: string, hash: string): Journal | JournalProblem {
  const length = text.lastIndexOf("\n") + 1;
  if (length === 0 && journalHead(hash).startsWith(text)) return { outcomes: [], length };
  if (length === 0) return { line: 1, problem: "expected the journal of a sweep" };
  const [head, ...lines] = text.slice(0, length - 1).split("\n");
  const first = parsed(head!);
  if (first === null || first.format !== FORMAT)
    return { line: 1, problem: "expected the journal of a sweep" };
  if (first.sweep !== hash) {
    const problem =
      "is of another sweep: the design, the axes, the devices, the engine or the deadline differ";
    return { line: 1, problem };
  }
  const outcomes: SweepOutcome[] = [];
  for (const [i, line] of lines.entries()) {
    const outcome = parsed(line);
    if (outcome === null || !isOutcome(outcome))
      return { line: i + 2, problem: "expected an outcome of the sweep" };
    outcomes.push(outcome);
  }
  return { outcomes, length };
}

function parsed(line: string): Record<string, unknown> | null {
  try {
    const value: unknown = JSON.parse(line);
    return typeof value === "object" && value !== null ? (value as Record<string, unknown>) : null;
  } catch {
    return null;
  }
}

/** The hash vouches for the content; this tells a damaged line. */
function isOutcome(value: object): value is SweepOutcome {
  const { index, values, usage, problem } = value as Record<string, unknown>;
  const figures = typeof usage === "object" && usage !== null;
  return Number.isInteger(index) && typeof values === "object" && (figures || typeof problem === "string");
}
