import { resolve } from "node:path";
import { InputError } from "../input/diagnostics.js";
import type { Io } from "./io.js";

/** Calls a reader with the path seen from the user's folder; its errors name the file as the user did. */
export function asTyped<T>(path: string, io: Io, read: (path: string) => T): T {
  const full = resolve(io.cwd, path);
  try {
    return read(full);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const typed = (file: string) => {
      const rest = full.slice(file.length);
      return full.startsWith(file) && path.endsWith(rest) ? path.slice(0, path.length - rest.length) : file;
    };
    const source = { ...error.source, file: typed(error.source.file) };
    throw new InputError(
      source,
      error.diagnostics.map((diagnostic) => ({ ...diagnostic, file: typed(diagnostic.file) })),
    );
  }
}
