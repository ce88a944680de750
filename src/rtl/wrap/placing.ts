import { type Interval, parseShape, type Tenant } from "../../model/index.js";
import type { Builder } from "./builder.js";
import { bitsFor } from "./logical-ports.js";
import { all, bits, constant, type Expr, is, join, not, ONE, type Signal } from "./netlist.js";

/** The rows of one tile of a copy, in groups of the stored words that one access moves. */
export interface TileRows {
  readonly first: number;
  readonly count: number;
}

/** When a row belongs to a tile: always, where its upper bits have a value, or within bounds. */
export type Condition =
  | { readonly sort: "always" }
  | { readonly sort: "upper"; readonly low: number; readonly value: number }
  | { readonly sort: "bounds"; readonly first: number; readonly last: number; readonly depth: number };

/** A tenant's rows in groups of `group` stored words. */
export function tileRows(tenant: Tenant, group: number): TileRows {
  return { first: tenant.rows[0] / group, count: (tenant.rows[1] - tenant.rows[0] + 1) / group };
}

const overlap = (a: Interval, b: Interval) => a[0] <= b[1] && b[0] <= a[1];

/**
 * When a row belongs to a tile among those of its copy that hold some of the same bits. Upper bits decide where no other
 * such tile reaches into the tile's rows rounded up to a power of two; every layout that the packer makes is so.
 */
export function conditionOf(
  tenant: Tenant,
  copy: readonly Tenant[],
  depth: number,
  group: number,
): Condition {
  const { first, count } = tileRows(tenant, group);
  const last = first + count - 1;
  const low = bitsFor(count);
  const window: Interval = [first, first + 2 ** low - 1];
  if (first === 0 && last === depth / group - 1) return { sort: "always" };
  const clear = copy.every((other) => {
    if (other === tenant || !overlap(other.bits, tenant.bits)) return true;
    const rows = tileRows(other, group);
    return !overlap([rows.first, rows.first + rows.count - 1], window);
  });
  if (clear && first % 2 ** low === 0) {
    const top = bitsFor(depth / group);
    return low >= top ? { sort: "always" } : { sort: "upper", low, value: first / 2 ** low };
  }
  return { sort: "bounds", first, last, depth: depth / group };
}

/** Lowest bit of the row that a condition looks at; null: none. */
export function lowestBit(condition: Condition): number | null {
  if (condition.sort === "always") return null;
  return condition.sort === "upper" ? condition.low : 0;
}

/** The condition on a row of which `signal` holds the bits from `from` up. */
export function holds(condition: Condition, signal: Signal, from: number): Expr {
  switch (condition.sort) {
    case "always":
      return ONE;
    case "upper": {
      const low = condition.low - from;
      return is(bits(signal, low, signal.width - low), condition.value);
    }
    case "bounds": {
      const parts: Expr[] = [];
      if (condition.first > 0) {
        parts.push({ op: "at-least", of: signal, value: condition.first, width: 1 });
      }
      if (condition.last < condition.depth - 1) {
        parts.push({ op: "at-most", of: signal, value: condition.last, width: 1 });
      }
      return all(parts);
    }
  }
}

/**
 * The block's address for a row of a tile, in groups of `group` words on both sides. Where the tile starts at a multiple
 * of its rows rounded up to a power of two, in the memory and in the block, it is made of the row's lower bits, inverted
 * where the tile is, and constant ones: no adder.
 */
export function blockAddress(
  builder: Builder,
  tenant: Tenant,
  group: number,
  row: Signal,
  width: number,
): Expr {
  const { first, count } = tileRows(tenant, group);
  const word = Math.floor(tenant.word / group);
  const low = bitsFor(count);
  if (low === 0) return constant(word, width);
  let source = row;
  if (first % 2 ** low !== 0) {
    source = builder.named(`${row.name}_from_${first}`, {
      op: "minus",
      a: row,
      b: constant(first, row.width),
      width: row.width,
    });
  }
  const local = bits(source, 0, low);
  const base = tenant.inverted ? word + 1 : word;
  if (base % 2 ** low === 0) {
    const upper = Math.floor(word / 2 ** low);
    const rest = width > low ? [constant(upper, width - low)] : [];
    return join([tenant.inverted ? not(local) : local, ...rest]);
  }
  const padded = width > low ? join([local, constant(0, width - low)]) : local;
  const from = constant(word, width);
  return tenant.inverted
    ? { op: "minus", a: from, b: padded, width }
    : { op: "plus", a: padded, b: from, width };
}

/** Where the bits of a tile lie in the block's word as a port of `group` words sees it: pieces, ascending in the tile. */
export function placesOf(
  tenant: Tenant,
  group: number,
): { readonly sub: number; readonly bit: number; readonly at: number; readonly width: number }[] {
  const { width } = parseShape(tenant.shape)!;
  return Array.from({ length: group }, (_, sub) => {
    const place = tenant.inverted ? group - 1 - sub : sub;
    return tenant.runs.map((run) => ({
      sub,
      bit: run.bits[0],
      at: place * width + run.at,
      width: run.bits[1] - run.bits[0] + 1,
    }));
  }).flat();
}
