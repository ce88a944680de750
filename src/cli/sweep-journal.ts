import { closeSync, ftruncateSync, openSync, readFileSync, writeSync } from "node:fs";
import { journalHead, journalLine, readJournal, type SweepOutcome } from "../advise/index.js";
import { UsageError } from "./usage-error.js";

/** A journal on disk: what an earlier run left, and a file that takes new outcomes. */
export interface OpenJournal {
  readonly done: readonly SweepOutcome[];
  /** Appends a whole line in one write. */
  add(outcome: SweepOutcome): void;
  close(): void;
}

/**
 * Opens the journal of a sweep, or begins one where there is no such file. A line that was torn when the program was
 * ended is taken off. Throws UsageError where the file cannot be used or belongs to another sweep. `name` is the path
 * as the user typed it.
 */
export function openJournal(path: string, name: string, hash: string): OpenJournal {
  const wrong = (message: string) => new UsageError("wrong-option-value", `--resume ${name}: ${message}`);
  let handle: number;
  let text: string;
  try {
    handle = openSync(path, "a+");
    text = readFileSync(handle, "utf8");
  } catch (error) {
    throw wrong(`cannot be used: ${(error as Error).message}`);
  }
  const read = readJournal(text, hash);
  if ("problem" in read) {
    closeSync(handle);
    throw wrong(`line ${read.line}: ${read.problem}`);
  }
  ftruncateSync(handle, Buffer.byteLength(text.slice(0, read.length)));
  if (read.length === 0) writeSync(handle, journalHead(hash));
  return {
    done: read.outcomes,
    add: (outcome) => void writeSync(handle, journalLine(outcome)),
    close: () => closeSync(handle),
  };
}
