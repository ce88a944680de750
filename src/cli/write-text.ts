import { renameSync, rmSync, writeFileSync } from "node:fs";
import { UsageError } from "./usage-error.js";

/** Writes a text file, all of it or nothing: beside its place first, then moved in. Throws UsageError where it cannot. */
export function writeText(path: string, text: string): void {
  const beside = `${path}.${process.pid}.part`;
  try {
    writeFileSync(beside, text);
    renameSync(beside, path);
  } catch (error) {
    rmSync(beside, { force: true });
    throw new UsageError("cannot-write", `${path}: cannot be written: ${(error as Error).message}`);
  }
}
