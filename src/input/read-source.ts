import { closeSync, lstatSync, openSync, readSync } from "node:fs";
import { type DiagnosticCode, InputError, type Source } from "./diagnostics.js";
import { noSuchFile } from "./nearest-file.js";
import { MAX_TEXT_BYTES } from "./read-yaml.js";

function refuse(file: string, code: DiagnosticCode, message: string): never {
  throw new InputError({ file, text: "" }, [{ code, severity: "error", message, range: null, file }]);
}

const CHUNK_BYTES = 1 << 16;

/** All bytes of a file, or somewhat more than the first `most` of them. */
function readUpTo(path: string, most: number): Buffer {
  const handle = openSync(path, "r");
  try {
    const chunks: Buffer[] = [];
    for (let length = 0; length <= most; ) {
      const chunk = Buffer.allocUnsafe(CHUNK_BYTES);
      const got = readSync(handle, chunk, 0, CHUNK_BYTES, null);
      if (got === 0) break;
      chunks.push(chunk.subarray(0, got));
      length += got;
    }
    return Buffer.concat(chunks);
  } finally {
    closeSync(handle);
  }
}

function isLink(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() === true;
}

/**
 * Reads a UTF-8 text file of at most `most` bytes, by default 4 MiB; a symbolic link is followed, wherever it leads.
 * Throws {@link InputError} where there is no such file, it cannot be read, is longer or is not UTF-8.
 */
export function readSource(path: string, most = MAX_TEXT_BYTES): Source {
  let bytes: Buffer;
  try {
    bytes = readUpTo(path, most);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === "ENOENT") {
      refuse(path, "unreadable-file", isLink(path) ? "the symbolic link leads to no file" : noSuchFile(path));
    }
    if (code === "ELOOP") refuse(path, "unreadable-file", "the symbolic link leads back to itself");
    if (code === "ENOTDIR") refuse(path, "unreadable-file", "expected a folder on the way, found a file");
    if (code === "ENAMETOOLONG") refuse(path, "unreadable-file", "the path is too long");
    if (code === "EISDIR") refuse(path, "unreadable-file", "expected a file, found a directory");
    refuse(path, "unreadable-file", `cannot be read: ${message}`);
  }
  if (bytes.length > most) {
    refuse(path, "over-limit", `expected at most ${most / 2 ** 20} MiB of text, found more`);
  }
  try {
    return { file: path, text: new TextDecoder("utf-8", { fatal: true }).decode(bytes) };
  } catch {
    refuse(path, "unreadable-file", "expected UTF-8 text, found other bytes");
  }
}
