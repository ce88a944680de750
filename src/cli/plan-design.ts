import type { Source } from "../input/diagnostics.js";
import type { Design, Device, Plan } from "../model/index.js";
import type { Io } from "./io.js";
import { openDesign, openDevice } from "./load.js";
import type { PackingOptions } from "./options.js";
import { UsageError } from "./usage-error.js";

/** A checked plan with what it was made from. */
export interface Packed {
  readonly plan: Plan;
  readonly design: Design;
  readonly device: Device;
  readonly source: Source;
}

/** The plan of {@link packedDesign} alone. */
export async function planDesign(...all: Parameters<typeof packedDesign>): Promise<Plan> {
  return (await packedDesign(...all)).plan;
}

/**
 * Design and device in, checked plan out: what the commands that pack have in common. `prepare` may change the design
 * before it is packed. Throws InputError for the design or the device, UsageError where no device is named,
 * BrokenPlanError where the plan does not pass the check that `pack` makes.
 */
export async function packedDesign(
  path: string,
  options: PackingOptions,
  io: Io,
  prepare: (design: Design, device: Device) => Design = (design) => design,
): Promise<Packed> {
  const read = await openDesign(path, io);
  const device = await openDevice(deviceName(options.device ?? read.design.device), io);
  const { checkAgainstDevice } = await import("../input/check-against-device.js");
  const { hasErrors, InputError } = await import("../input/diagnostics.js");
  const found = checkAgainstDevice(read, device);
  if (hasErrors(found)) throw new InputError(read.source, found);
  const notes = found.map(({ message, range }) => ({ subject: read.design.name, message, source: range }));
  const design = prepare({ ...read.design, warnings: [...read.design.warnings, ...notes] }, device);
  const { pack } = await import("../plan/pack.js");
  const { NothingLegalError } = await import("../plan/nothing-legal.js");
  const deadlineMs = options.deadline * 1000;
  try {
    const plan = await pack(design, device, { engine: options.engine, deadlineMs });
    return { plan, design, device, source: read.source };
  } catch (error) {
    if (!(error instanceof NothingLegalError)) throw error;
    const { file } = read.source;
    const homeless = error.homeless.map(({ request, reason }) => {
      const message = `${request.name}: ${reason}`;
      return {
        code: "nothing-legal" as const,
        severity: "error" as const,
        message,
        range: request.source,
        file,
      };
    });
    throw new InputError(read.source, homeless);
  }
}

function deviceName(name: string | null): string {
  if (name !== null) return name;
  const message = "no device is named: give --device NAME, or write `device: NAME` in the design";
  throw new UsageError("no-device", message);
}
