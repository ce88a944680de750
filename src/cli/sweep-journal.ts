import { closeSync, fstatSync, ftruncateSync, openSync, readFileSync, writeFileSync } from "node:fs";
import { journalHead, journalLine, readJournal, type SweepOutcome } from "../advise/index.js";
import { UsageError } from "./usage-error.js";
import { unwritable } from "./write-file.js";

/** A journal on disk: what an earlier run left, and a file that takes new outcomes. */
export interface OpenJournal {
  readonly done: readonly SweepOutcome[];
  /** Appends a whole line. Throws UsageError where it cannot be written; what was written of it is taken off by the next run. */
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
    if (!fstatSync(handle).isFile()) {
      closeSync(handle);
      throw new Error("expected a file, found a device or a pipe");
    }
    text = readFileSync(handle, "utf8");
  } catch (error) {
    throw unwritable(name, error);
  }
  const read = readJournal(text, hash);
  if ("problem" in read) {
    closeSync(handle);
    throw wrong(`line ${read.line}: ${read.problem}`);
  }
  const write = (line: string) => {
    try {
      writeFileSync(handle, line);
    } catch (error) {
      throw unwritable(name, error);
    }
  };
  try {
    ftruncateSync(handle, Buffer.byteLength(text.slice(0, read.length)));
    if (read.length === 0) write(journalHead(hash));
  } catch (error) {
    closeSync(handle);
    throw error instanceof UsageError ? error : unwritable(name, error);
  }
  return {
    done: read.outcomes,
    add: (outcome) => write(journalLine(outcome)),
    close: () => closeSync(handle),
  };
}
