import { checkAgainstDevice } from "../input/check-against-device.js";
import type { DesignRead } from "../input/design.js";
import { hasErrors, InputError } from "../input/diagnostics.js";
import type { Design, Device, Plan } from "../model/index.js";
import { NothingLegalError } from "../plan/nothing-legal.js";
import { pack } from "../plan/pack.js";
import type { Io } from "./io.js";
import { openDesign, openDevice } from "./load.js";
import { oneLine } from "./one-line.js";
import type { PackingOptions } from "./options.js";
import { UsageError } from "./usage-error.js";

/** A design and the device to pack it on, as the user named them. Throws InputError and UsageError as planDesign does. */
export function openBoth(
  path: string,
  options: PackingOptions,
  io: Io,
): { readonly read: DesignRead; readonly device: Device } {
  const read = openDesign(path, io);
  const namedIn = options.device === undefined ? read : null;
  const device = openDevice(deviceName(options.device ?? read.design.device), io, namedIn);
  return { read: judged(read, device), device };
}

/** The design with the warnings that it gets on a device. Throws InputError where it names what the device lacks. */
function judged(read: DesignRead, device: Device): DesignRead {
  const found = checkAgainstDevice(read, device);
  if (hasErrors(found)) throw new InputError(read.source, found);
  const notes = found.map(({ message, range }) => ({ subject: read.design.name, message, source: range }));
  return { ...read, design: { ...read.design, warnings: [...read.design.warnings, ...notes] } };
}

/**
 * Does a job that packs; memories without a legal home become an InputError that points at them. What the job says to
 * `onEngineFailure` is told on stderr, each sentence once: for commands whose output has no place for it.
 */
export async function packing<T>(
  { source }: DesignRead,
  io: Io,
  job: (onEngineFailure: (message: string) => void) => Promise<T>,
): Promise<T> {
  const failures = new Set<string>();
  try {
    const done = await job((message) => failures.add(message));
    for (const message of failures) io.stderr.write(`warning: ${oneLine(`${source.file}: ${message}`)}\n`);
    return done;
  } catch (error) {
    if (!(error instanceof NothingLegalError)) throw error;
    const homeless = error.homeless.map(({ request, reason }) => ({
      code: "nothing-legal" as const,
      severity: "error" as const,
      message: `${request.name}: ${reason}`,
      range: request.source,
      file: source.file,
    }));
    throw new InputError(source, homeless);
  }
}

/**
 * Design and device in, checked plan out: what `check` judges. `prepare` may change the design
 * before it is packed. Throws InputError for the design or the device, UsageError where no device is named,
 * BrokenPlanError where the plan does not pass the check that `pack` makes.
 */
export async function planDesign(
  path: string,
  options: PackingOptions,
  io: Io,
  prepare: (design: Design, device: Device) => Design = (design) => design,
): Promise<Plan> {
  const { read, device } = openBoth(path, options, io);
  return packRead({ ...read, design: prepare(read.design, device) }, device, options, io);
}

/** Packs a design that was read and judged. Throws as {@link planDesign}, but for what reading throws. */
export function packRead(
  read: DesignRead,
  device: Device,
  { engine, deadline }: Pick<PackingOptions, "engine" | "deadline">,
  io: Io,
): Promise<Plan> {
  return packing(read, io, (onEngineFailure) =>
    pack(read.design, device, { engine, deadlineMs: deadline * 1000, onEngineFailure }),
  );
}

/** Judges a design that was read already, and packs it. Throws as {@link planDesign}. */
export async function planRead(
  read: DesignRead,
  device: Device,
  options: Pick<PackingOptions, "engine" | "deadline">,
  io: Io,
): Promise<Plan> {
  return packRead(judged(read, device), device, options, io);
}

/** The device that is named. Throws UsageError where none is. */
export function deviceName(name: string | null): string {
  if (name !== null) return name;
  const message = "no device is named: give --device NAME, or write `device: NAME` in the design";
  throw new UsageError("no-device", message);
}
