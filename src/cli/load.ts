import { resolve } from "node:path";
import type { DesignRead } from "../input/design.js";
import { InputError, type Source } from "../input/diagnostics.js";
import type { Device, Plan } from "../model/index.js";
import type { Io } from "./io.js";

/** Reads the design of a path as the user typed it. Throws InputError where it cannot be used. */
export async function openDesign(path: string, io: Io): Promise<DesignRead> {
  const { loadDesign } = await import("../input/design.js");
  const read = asTyped(path, io, loadDesign);
  return { ...read, source: { ...read.source, file: path } };
}

/** A file that holds a design or a saved plan. */
export type DesignOrPlan =
  | { readonly sort: "design"; readonly read: DesignRead }
  /** Right in form; its figures are not yet checked. */
  | { readonly sort: "plan"; readonly plan: Plan; readonly source: Source };

/** Reads a design or a saved plan, told apart by what is in the file. Throws InputError where it cannot be used. */
export async function openDesignOrPlan(path: string, io: Io): Promise<DesignOrPlan> {
  const { looksLikePlan, MAX_PLAN_BYTES, readPlan } = await import("../input/plan.js");
  const { readSource } = await import("../input/read-source.js");
  const { readDesign } = await import("../input/design.js");
  const source = { ...asTyped(path, io, (full) => readSource(full, MAX_PLAN_BYTES)), file: path };
  if (looksLikePlan(source.text)) {
    const read = readPlan(source);
    if (!read.ok) throw new InputError(source, read.diagnostics);
    return { sort: "plan", plan: read.plan, source };
  }
  const read = readDesign(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return { sort: "design", read };
}

/** The device of a name, or of the path of its file. Throws InputError where there is none or it is not right. */
export async function openDevice(nameOrPath: string, io: Io): Promise<Device> {
  const { findDevice } = await import("../input/find-device.js");
  const isPath = /[/\\#]|\.ya?ml$/i.test(nameOrPath);
  return isPath ? asTyped(nameOrPath, io, findDevice) : findDevice(nameOrPath);
}

/** Calls a reader with the path seen from the user's folder; its errors name the file as the user did. */
function asTyped<T>(path: string, io: Io, read: (path: string) => T): T {
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
