import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { type DiagnosticCode, InputError, type Source } from "./diagnostics.js";
import { MAX_TEXT_BYTES } from "./read-yaml.js";

function refuse(file: string, code: DiagnosticCode, message: string): never {
  throw new InputError({ file, text: "" }, [{ code, severity: "error", message, range: null, file }]);
}

/** All bytes of a file, or the first `most + 1` of them. */
function readUpTo(path: string, most: number): Buffer {
  const handle = openSync(path, "r");
  try {
    // What has no size of its own, such as a pipe, may be as long as it likes.
    const { size } = fstatSync(handle);
    const bytes = Buffer.alloc((size > 0 ? Math.min(size, most) : most) + 1);
    let length = 0;
    while (length < bytes.length) {
      const got = readSync(handle, bytes, length, bytes.length - length, null);
      if (got === 0) break;
      length += got;
    }
    return bytes.subarray(0, length);
  } finally {
    closeSync(handle);
  }
}

/**
 * Reads a UTF-8 text file of at most `most` bytes, 4 MiB where nothing is said. Throws {@link InputError} where there is
 * no such file, it cannot be read, is longer or is not UTF-8.
 */
export function readSource(path: string, most: number = MAX_TEXT_BYTES): Source {
  let bytes: Buffer;
  try {
    bytes = readUpTo(path, most);
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    if (code === "ENOENT") refuse(path, "unreadable-file", "no such file");
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
