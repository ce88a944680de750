import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { Device } from "../model/index.js";
import { readDevices } from "./device.js";
import { type DiagnosticCode, InputError, type Source } from "./diagnostics.js";
import { markOf } from "./mark.js";
import { suggestion } from "./nearest.js";
import { readSource } from "./read-source.js";

/** The device files that come with the program; the same place seen from src/input and from dist/input. */
const SHIPPED = fileURLToPath(new URL("../../devices/", import.meta.url));

/** Where device files are looked for. */
export interface DeviceSearch {
  /** Folder whose `*.yaml` files are searched for a name. Default: the files that come with the program. */
  readonly directory?: string;
}

function fail(source: Source, code: DiagnosticCode, message: string): never {
  throw new InputError(source, [{ code, severity: "error", message, range: null, file: source.file }]);
}

/**
 * What the build keeps of the files that come with the program, so that they need not be read anew at each start:
 * by the mark of a file's text, its devices. Seen from dist/input and from dist/cli; from the sources there is none.
 */
const PREPARED = new URL("../devices.json", import.meta.url);

/** The devices of the texts that the build has read; empty where there was no build. */
export type PreparedDevices = Readonly<Record<string, readonly Device[]>>;

let prepared: PreparedDevices | undefined;

function preparedDevices(): PreparedDevices {
  if (prepared === undefined) {
    try {
      prepared = JSON.parse(readFileSync(PREPARED, "utf8")) as PreparedDevices;
    } catch {
      prepared = {};
    }
  }
  return prepared;
}

/** The devices of all files that come with the program, by the mark of the file's text. */
export function prepareDevices(): PreparedDevices {
  return Object.fromEntries(sourcesIn(SHIPPED).map((source) => [markOf(source.text), readAnew(source)]));
}

function readAnew(source: Source): readonly Device[] {
  const read = readDevices(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return read.devices;
}

function devicesIn(source: Source): readonly Device[] {
  return preparedDevices()[markOf(source.text)] ?? readAnew(source);
}

/** The files of a folder in alphabetic order. */
function sourcesIn(directory: string): Source[] {
  let names: string[];
  try {
    names = readdirSync(directory);
  } catch {
    return fail({ file: directory, text: "" }, "unreadable-file", "device folder: not readable");
  }
  const files = names.filter((name) => /\.ya?ml$/.test(name)).sort();
  return files.map((name) => readSource(join(directory, name)));
}

/** True where the text may name this part: a cheap look, so that the files without it need not be parsed first. */
function mentions(text: string, part: string): boolean {
  const literal = part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  return new RegExp(`name["']?\\s*:\\s*["']?${literal}["']?\\s*(?:[,}#]|$)`, "m").test(text);
}

function named(name: string, directory: string): Device {
  const part = name.toLowerCase();
  const sources = sourcesIn(directory);
  const likely = sources.filter((source) => mentions(source.text, part));
  const others = sources.filter((source) => !likely.includes(source));
  const names: string[] = [];
  for (const source of [...likely, ...others]) {
    for (const device of devicesIn(source)) {
      if (device.name === part) return device;
      names.push(device.name);
    }
  }
  const hint = suggestion(part, names.sort(), "devices");
  return fail(
    { file: name, text: "" },
    "unknown-name",
    `no device has the name ${JSON.stringify(name)}${hint}`,
  );
}

function inFile(path: string): Device {
  const hash = path.lastIndexOf("#");
  const file = hash < 0 ? path : path.slice(0, hash);
  const part = hash < 0 ? null : path.slice(hash + 1).toLowerCase();
  const source = readSource(file);
  const devices = devicesIn(source);
  const names = devices.map((device) => device.name);
  if (part === null) {
    if (devices.length === 1) return devices[0]!;
    const message = `the file has ${devices.length} parts, add one after #: ${names.join(", ")}`;
    return fail(source, "unknown-name", message);
  }
  const device = devices.find(({ name }) => name === part);
  if (device !== undefined) return device;
  const hint = suggestion(part, names, "parts");
  return fail(source, "unknown-name", `no part has the name ${JSON.stringify(part)}${hint}`);
}

/** Whether it is the path of a device file, and no name: see {@link findDevice}. */
export function isDevicePath(nameOrPath: string): boolean {
  return /[/\\#]|\.ya?ml$/i.test(nameOrPath);
}

/**
 * The device of a name, without regard to case, or of a path to a device file: anything with a slash, a `#` or the
 * ending `.yaml` or `.yml` is a path. A file of several parts needs the part after a `#`, as in `mine.yaml#big`.
 * Throws {@link InputError} where there is no such device (with the nearest name), or where the file that should
 * have it is not right.
 */
export function findDevice(nameOrPath: string, search: DeviceSearch = {}): Device {
  if (isDevicePath(nameOrPath)) return inFile(nameOrPath);
  return named(nameOrPath, search.directory ?? SHIPPED);
}

/** All devices of a folder, by default those that come with the program, family by family in order of file name. */
export function listDevices(search: DeviceSearch = {}): readonly Device[] {
  return sourcesIn(search.directory ?? SHIPPED).flatMap(devicesIn);
}
