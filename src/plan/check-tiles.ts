import { type Layout, shapeName, type Tenant } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Placement } from "./check-resolve.js";
import { grouped } from "./check-words.js";

/** Most rectangles over any one bit of the word. */
export function deepest(tenants: readonly Tenant[]): number {
  const steps = tenants
    .flatMap(({ bits }) => [
      { bit: bits[0], step: 1 },
      { bit: bits[1] + 1, step: -1 },
    ])
    .sort((a, b) => a.bit - b.bit || a.step - b.step);
  let now = 0;
  let most = 0;
  for (const { step } of steps) {
    now += step;
    most = Math.max(most, now);
  }
  return most;
}

/** The deepest stack of tiles in any one copy. */
function deepestCopy(placements: readonly Placement[]): number {
  const copies = grouped(placements, ({ tenant }) => `${tenant.copy}`);
  return Math.max(0, ...copies.map((copy) => deepest(copy.map(({ tenant }) => tenant))));
}

/**
 * What a layout in blocks says of its tiles is what one of its instances has: tiles by kind and shape, how deep they
 * stack, and the cascade (which may be less than the stack only where a block kind joins in depth for free).
 */
export function checkTiles(
  layout: Layout,
  placements: readonly Placement[],
  where: string,
  report: Report,
): void {
  const tileName = ({ kind, tenant }: Placement) => `${kind.name} ${tenant.shape}`;
  const found = new Map(grouped(placements, tileName).map((group) => [tileName(group[0]!), group]));
  const stated = new Map(layout.tiles.map((tile) => [`${tile.kind} ${tile.shape}`, tile]));
  if (stated.size < layout.tiles.length) report.add("tiles", where, "a kind and shape is listed twice");
  for (const name of new Set([...found.keys(), ...stated.keys()])) {
    const group = found.get(name) ?? [];
    report.expect("tiles", where, `tiles of ${name}`, stated.get(name)?.count ?? 0, group.length);
    report.expect("tiles", where, `depth of ${name}`, stated.get(name)?.deep ?? 0, deepestCopy(group));
  }
  const deep = deepestCopy(placements);
  const free = placements.some(({ kind, tenant }) =>
    kind.freeCascade.some(({ shape }) => shapeName(shape) === tenant.shape),
  );
  const legal = free ? layout.cascade >= 1 && layout.cascade <= deep : layout.cascade === deep;
  if (!legal) report.add("tiles", where, `cascade is ${deep}, not ${layout.cascade}`);
}
