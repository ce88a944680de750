import {
  closeSync,
  fchmodSync,
  fsyncSync,
  linkSync,
  openSync,
  realpathSync,
  renameSync,
  rmSync,
  type Stats,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { UsageError } from "./usage-error.js";

/**
 * Writes a text file whole or not at all: to a new file beside it, which then takes its name, and its mode where there was one;
 * a symbolic link stays, and the file that it leads to is replaced. What is no file (a terminal, a pipe, /dev/null) is
 * written to as it stands. Without `force` a file that exists stays, and UsageError is thrown. `shown` is the path as the
 * user typed it.
 */
export function writeWhole(path: string, text: string, force: boolean, shown: string): void {
  try {
    const there = statSync(path, { throwIfNoEntry: false });
    if (there === undefined || there.isFile()) replace(path, text, force, there);
    else writeFileSync(path, text);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code === "EEXIST") {
      throw new UsageError("file-exists", `${shown}: exists already; --force overwrites it`);
    }
    throw unwritable(shown, error);
  }
}

function replace(path: string, text: string, force: boolean, there: Stats | undefined): void {
  // Without force a file that is there is the error that the link below gives, and nothing need be written first.
  const target = there === undefined || !force ? path : realpathSync(path);
  const temporary = join(dirname(target), `.${basename(target)}.${process.pid}.tmp`);
  const handle = openSync(temporary, "wx");
  try {
    try {
      writeFileSync(handle, text);
      if (there !== undefined) fchmodSync(handle, there.mode);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    // A link never replaces a file, so nothing can slip in between a look and the writing.
    if (force) renameSync(temporary, target);
    else linkSync(temporary, target);
  } finally {
    rmSync(temporary, { force: true });
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOSPC: "no space is left on the device",
  EDQUOT: "the quota of the disk is used up",
  EACCES: "the folder or the file is not yours to write to",
  EPERM: "the folder or the file is not yours to write to",
  EROFS: "the file system is read-only",
  ENOENT: "there is no such folder",
  EEXIST: "a file stands where a folder should",
  ENOTDIR: "a file stands where a folder should",
  EISDIR: "it is a folder",
  ENAMETOOLONG: "the path is too long",
  EFBIG: "the file would be larger than is allowed",
  ELOOP: "the symbolic link leads back to itself",
};

/** The error for a file or stream that cannot be written, with the reason in words. */
export function unwritable(shown: string, error: unknown): UsageError {
  const { code = "", message } = error as NodeJS.ErrnoException;
  return new UsageError("unwritable-file", `${shown}: cannot be written: ${REASONS[code] ?? message}`);
}
