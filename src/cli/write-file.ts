import { linkSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { UsageError } from "./usage-error.js";

/**
 * Writes a text file whole or not at all: to a new file beside it, which then takes its name. Without `force` a file
 * that exists stays, and UsageError is thrown. `shown` is the path as the user typed it.
 */
export function writeWhole(path: string, text: string, force: boolean, shown: string): void {
  const temporary = join(dirname(path), `.${basename(path)}.${process.pid}.tmp`);
  try {
    writeFileSync(temporary, text, { flag: "wx" });
    // A link never replaces a file, so nothing can slip in between a look and the writing.
    if (force) renameSync(temporary, path);
    else linkSync(temporary, path);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === "EEXIST") {
      throw new UsageError("file-exists", `${shown}: exists already; --force overwrites it`);
    }
    throw new UsageError("unwritable-file", `${shown}: cannot be written: ${message}`);
  } finally {
    rmSync(temporary, { force: true });
  }
}
