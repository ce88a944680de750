import { open } from "node:fs/promises";
import { pipeline } from "node:stream";
import { createGunzip } from "node:zlib";
import { noSuchFile } from "../../input/nearest-file.js";
import type { AccessBatch } from "./accesses.js";
import { TraceError } from "./trace-error.js";
import { TraceLines } from "./trace-lines.js";

/** Bytes read at a time. */
const CHUNK = 1 << 20;
/** First bytes of a gzip file: RFC 1952, section 2.3.1. */
const GZIP = [0x1f, 0x8b];

/**
 * Streams a trace from a CSV file, plain or gzip (told by its first bytes, not by its name), and hands on its accesses
 * in batches. `file` is the name for errors. Throws {@link TraceError} where the file cannot be read, holds a line of
 * another form, or holds no access; rejects with the signal's reason where that fires.
 */
export async function readTrace(
  path: string,
  file: string,
  take: (batch: AccessBatch) => void,
  signal?: AbortSignal,
): Promise<void> {
  let any = false;
  const lines = new TraceLines(file, (batch) => {
    any = true;
    take(batch);
  });
  try {
    for await (const chunk of await bytesOf(path)) {
      signal?.throwIfAborted();
      lines.push(chunk as Uint8Array);
    }
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    // Codes of the system (ENOENT) and of the unpacker (Z_DATA_ERROR); others are faults of ours.
    if (typeof code !== "string" || !/^(?:E(?!RR_)|Z_)/.test(code)) throw error;
    if (code === "ENOENT") throw new TraceError(file, null, null, noSuchFile(path));
    if (code === "EISDIR") throw new TraceError(file, null, null, "expected a file, found a directory");
    const at = lines.lines === 0 ? null : lines.lines + 1;
    throw new TraceError(file, at, at === null ? null : 1, `cannot be read: ${message}`);
  }
  lines.end();
  if (!any) throw new TraceError(file, null, null, "expected at least one access, found none");
}

/** The bytes of a file, unpacked where it is gzip. */
async function bytesOf(path: string): Promise<AsyncIterable<unknown>> {
  const handle = await open(path, "r");
  const { buffer, bytesRead } = await handle
    .read(Buffer.alloc(GZIP.length), 0, GZIP.length, 0)
    .catch(async (error: unknown) => {
      await handle.close();
      throw error;
    });
  const packed = bytesRead === GZIP.length && GZIP.every((byte, i) => buffer[i] === byte);
  const stream = handle.createReadStream({ start: 0, highWaterMark: CHUNK });
  if (!packed) return stream;
  // Errors of the file reach the reader through the unpacked stream, which the pipeline ends with them.
  return pipeline(stream, createGunzip({ chunkSize: CHUNK }), () => {});
}
