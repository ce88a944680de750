import shipped from "virtual:devices";
import { InputError } from "../../input/diagnostics.js";
import { suggestion } from "../../input/nearest.js";
import type { Device } from "../../model/index.js";

/** Devices from files that the page was written with, by the name that the user wrote. */
const added = new Map<string, Device>();

/** Adds devices from files. */
export function addDevices(devices: Readonly<Record<string, Device>>): void {
  for (const [name, device] of Object.entries(devices)) added.set(name, device);
}

/** Stands in for src/input/find-device.ts in a page: devices that are embedded instead of files. */
export function findDevice(name: string): Device {
  const device = added.get(name) ?? shipped.find((each) => each.name === name.toLowerCase());
  if (device !== undefined) return device;
  const names = [...shipped.map((each) => each.name), ...added.keys()].sort();
  const message = `no device has the name ${JSON.stringify(name)}${suggestion(name.toLowerCase(), names, "devices")}`;
  const source = { file: name, text: "" };
  throw new InputError(source, [
    { code: "unknown-name", severity: "error", message, range: null, file: name },
  ]);
}

/** The devices that come with the program. */
export function listDevices(): readonly Device[] {
  return shipped;
}
