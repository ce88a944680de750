import { type DesignRead, loadDesign } from "../input/design.js";
import { InputError } from "../input/diagnostics.js";
import { findDevice, isDevicePath } from "../input/find-device.js";
import type { Device } from "../model/index.js";
import { asTyped } from "./as-typed.js";
import type { Io } from "./io.js";

/** Reads the design of a path as the user typed it. Throws InputError where it cannot be used. */
export function openDesign(path: string, io: Io): DesignRead {
  const read = asTyped(path, io, loadDesign);
  return { ...read, source: { ...read.source, file: path } };
}

/**
 * The device of a name, or of the path of its file. `namedIn`: the design that names it, where none was asked for; that there is no such
 * device is then told where it stands there. Throws InputError where there is none or it is not right.
 */
export function openDevice(nameOrPath: string, io: Io, namedIn: DesignRead | null = null): Device {
  try {
    return isDevicePath(nameOrPath) ? asTyped(nameOrPath, io, findDevice) : findDevice(nameOrPath);
  } catch (error) {
    // What is wrong inside a device file has its place there.
    const isPlaceless = error instanceof InputError && error.diagnostics.every(({ range }) => range === null);
    if (namedIn === null || !isPlaceless) throw error;
    const { source, deviceRange } = namedIn;
    const inDesign = error.diagnostics.map((diagnostic) => {
      const { file, message } = diagnostic;
      const told = isDevicePath(nameOrPath) ? `${file}: ${message}` : message;
      return { ...diagnostic, message: told, range: deviceRange, file: source.file };
    });
    throw new InputError(source, inDesign);
  }
}
