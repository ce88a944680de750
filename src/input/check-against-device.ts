import type { Device } from "../model/index.js";
import type { DesignRead, HomeName } from "./design.js";
import type { Diagnostic } from "./diagnostics.js";
import { suggestion } from "./nearest.js";

/** Names that each key takes besides the pools of the device. */
const OTHER_HOMES: Readonly<Record<HomeName["key"], readonly string[]>> = {
  available: ["LUT"],
  weights: [],
  in: ["LUT", "registers"],
};

/**
 * Names in `available`, `weights` and `in` of a design that the device does not have, as errors; and, as warnings,
 * blocks declared available beyond those on the part. [] where all is well.
 */
export function checkAgainstDevice(read: DesignRead, device: Device): Diagnostic[] {
  const pools = device.pools.map((pool) => pool.name);
  const { file } = read.source;
  return read.homeNames.flatMap(({ key, name, range }): Diagnostic[] => {
    const legal = [...pools, ...OTHER_HOMES[key]];
    if (!legal.includes(name)) {
      const near = suggestion(name, legal, "it has");
      const message = `${key}: ${device.name} has no ${JSON.stringify(name)}${near}`;
      return [{ code: "unknown-name", severity: "error", message, range, file }];
    }
    const pool = device.pools.find((p) => p.name === name);
    const declared = read.design.limits.blocks[name] ?? 0;
    if (key !== "available" || pool === undefined || declared <= pool.blocks) return [];
    const message = `available: ${device.name} has ${pool.blocks} blocks of ${name}, found ${declared}`;
    return [{ code: "over-limit", severity: "warning", message, range, file }];
  });
}
