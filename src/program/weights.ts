import { greatestCommonDivisor } from "../model/divisor.js";
import type { Design, Device } from "../model/index.js";

/**
 * Objective weight of one unit of each pool, as whole numbers without a common divisor. By default a pool weighs by
 * the bits of a unit; a weight in the design replaces a pool's, on the scale on which the smallest pool's block
 * weighs 1 (kept to three decimals).
 */
export function unitWeights(device: Device, design: Pick<Design, "weights">): Map<string, number> {
  const unitBits = new Map<string, number>();
  for (const kind of device.blocks) unitBits.set(kind.pool, kind.bits / kind.units);
  const blockBits = (pool: string, units: number) => unitBits.get(pool)! * units;
  const smallest = Math.min(...device.pools.map((pool) => blockBits(pool.name, pool.unitsPerBlock)));
  const raw = new Map<string, number>();
  const custom = device.pools.some((pool) => design.weights[pool.name] !== undefined);
  for (const pool of device.pools) {
    const own = design.weights[pool.name];
    if (!custom) raw.set(pool.name, unitBits.get(pool.name)!);
    else {
      const weight = own ?? blockBits(pool.name, pool.unitsPerBlock) / smallest;
      raw.set(pool.name, Math.max(1, Math.round((weight * 1000) / pool.unitsPerBlock)));
    }
  }
  const divisor = [...raw.values()].reduce(greatestCommonDivisor);
  return new Map([...raw].map(([name, weight]) => [name, weight / divisor]));
}
