import { type DesignRead, loadDesign } from "../input/design.js";
import { findDevice } from "../input/find-device.js";
import type { Device } from "../model/index.js";
import { asTyped } from "./as-typed.js";
import type { Io } from "./io.js";

/** Reads the design of a path as the user typed it. Throws InputError where it cannot be used. */
export function openDesign(path: string, io: Io): DesignRead {
  const read = asTyped(path, io, loadDesign);
  return { ...read, source: { ...read.source, file: path } };
}

/** The device of a name, or of the path of its file. Throws InputError where there is none or it is not right. */
export function openDevice(nameOrPath: string, io: Io): Device {
  const isPath = /[/\\#]|\.ya?ml$/i.test(nameOrPath);
  return isPath ? asTyped(nameOrPath, io, findDevice) : findDevice(nameOrPath);
}
