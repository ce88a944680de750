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
 * A device that a design names: that there is none is told where the design names it. What is wrong inside a device file is told there.
 * Throws InputError.
 */
export function openDeviceOf({ source, deviceRange }: DesignRead, nameOrPath: string, io: Io): Device {
  try {
    return openDevice(nameOrPath, io);
  } catch (error) {
    if (!(error instanceof InputError) || error.diagnostics.some(({ range }) => range !== null)) throw error;
    const inDesign = error.diagnostics.map((diagnostic) => {
      const { file, message } = diagnostic;
      const told = file === nameOrPath && !isDevicePath(nameOrPath) ? message : `${file}: ${message}`;
      return { ...diagnostic, message: told, range: deviceRange, file: source.file };
    });
    throw new InputError(source, inDesign);
  }
}

/** The device of a name, or of the path of its file. Throws InputError where there is none or it is not right. */
export function openDevice(nameOrPath: string, io: Io): Device {
  return isDevicePath(nameOrPath) ? asTyped(nameOrPath, io, findDevice) : findDevice(nameOrPath);
}
