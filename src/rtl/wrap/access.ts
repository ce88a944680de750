import type { Builder } from "./builder.js";
import { bitsFor, type MemberInterface, type MemberPort } from "./logical-ports.js";
import { all, any, bits, type Expr, is, join, not, ONE, type Signal, ZERO } from "./netlist.js";

/** Consecutive bits of an access's data that are written under one enable. */
export interface Stretch {
  readonly low: number;
  readonly width: number;
  readonly enable: Expr;
}

/**
 * A write of stored words. `group` stored words lie side by side in `data`, more than one where the write side of a
 * block is its wider one; `row` counts such groups.
 */
export interface Writing {
  readonly clock: Signal;
  readonly row: Signal;
  readonly group: number;
  /** 1 where anything is written. */
  readonly active: Expr;
  readonly data: Signal;
  readonly stretches: readonly Stretch[];
}

/** A read of `group` stored words that lie side by side. */
export interface Reading {
  readonly clock: Signal;
  readonly row: Signal;
  readonly group: number;
  /** 1 where the port reads or, as a read-write port, writes; always 1 for an asynchronous read. */
  readonly enable: Expr;
  /** 1 where a port of its own has to read for it. */
  readonly alone: Expr;
}

/** How the logical ports of a member reach its stored words. */
export interface MemberAccess {
  readonly own: MemberInterface;
  readonly stored: { readonly depth: number; readonly width: number };
  readonly asynchronous: boolean;
  /** In the order of the member's ports; null where the port has no such direction. */
  readonly writings: readonly (Writing | null)[];
  readonly readings: readonly (Reading | null)[];
  /** Bits of the address that pick a narrow word out of a stored wide one, 0 where there is nothing to pick. */
  readonly pickBits: readonly number[];
}

/** Stored words side by side in one access of a port, and words of the request in one stored word. */
function geometry(own: MemberInterface, stored: { readonly width: number }, port: MemberPort) {
  const inStored = stored.width / own.request.width;
  return { inStored, group: Math.max(1, port.port.words / inStored) };
}

/** Lanes of one word of the request: where they start, and their bits. */
function lanesIn(width: number, lane: number | null): { low: number; width: number }[] {
  const step = lane ?? width;
  return Array.from({ length: Math.ceil(width / step) }, (_, index) => ({
    low: index * step,
    width: Math.min(step, width - index * step),
  }));
}

/** Builds, for one member, the wires from its logical ports to stored words. */
export function memberAccess(
  builder: Builder,
  own: MemberInterface,
  stored: { readonly depth: number; readonly width: number },
  rows: Map<string, Signal>,
): MemberAccess {
  const { request } = own;
  const pickBits: number[] = [];
  const writings: (Writing | null)[] = [];
  const readings: (Reading | null)[] = [];
  for (const port of own.ports) {
    const { inStored, group } = geometry(own, stored, port);
    const narrow = inStored > port.port.words;
    const pick = narrow ? bitsFor(inStored) : 0;
    const rowBits = bitsFor(stored.depth / group);
    pickBits.push(pick);
    let row = port.address;
    if (pick > 0) {
      // Members that share an address share its parts as well.
      const known = rows.get(port.address.name);
      const upper = rowBits > 0 ? bits(port.address, pick, rowBits) : ZERO;
      row = known ?? builder.named(`${port.address.name}_row`, upper);
      rows.set(port.address.name, row);
    }
    const enable = port.enable ?? ONE;
    if (port.port.reads) {
      const quiet = port.write !== null && request.read === "sync" && request.collision === "any";
      readings.push({
        clock: port.clock,
        row,
        group,
        enable,
        alone: quiet ? all([enable, not(port.write!)]) : enable,
      });
    } else readings.push(null);
    if (port.write === null) {
      writings.push(null);
      continue;
    }
    const active = all([enable, port.write]);
    const stretches: Stretch[] = [];
    const words = Math.max(port.port.words, inStored);
    const lanes = lanesIn(request.width, request.lane);
    for (let word = 0; word < words; word++) {
      const picked = narrow ? is(bits(port.address, 0, pick), word) : ONE;
      for (const [index, lane] of lanes.entries()) {
        const place = (narrow ? 0 : word) * lanes.length + index;
        const laneEnable = port.lanes === null ? ONE : bits(port.lanes, place, 1);
        const low = word * request.width + lane.low;
        stretches.push({ low, width: lane.width, enable: all([active, picked, laneEnable]) });
      }
    }
    const whole = request.lane === null && !narrow;
    const data = narrow
      ? builder.named(
          `${own.prefix}${port.port.name}_wide`,
          join(Array.from({ length: inStored }, () => port.writeData!)),
        )
      : port.writeData!;
    writings.push({
      clock: port.clock,
      row,
      group,
      active: any([active]),
      data,
      stretches: whole ? [{ low: 0, width: words * request.width, enable: active }] : stretches,
    });
  }
  return { own, stored, asynchronous: request.read === "async", writings, readings, pickBits };
}
