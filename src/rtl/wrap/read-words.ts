import type { Tenant } from "../../model/index.js";
import type { MemberAccess, Reading } from "./access.js";
import { type Tap, tapKey } from "./block-ports.js";
import type { Builder } from "./builder.js";
import { all, bits, choose, type Expr, is, join, type Signal } from "./netlist.js";
import { conditionOf, holds, lowestBit, placesOf } from "./placing.js";
import type { Source } from "./turns.js";

/** What reading a member's tiles needs to know. */
export interface ReadContext {
  readonly member: number;
  readonly access: MemberAccess;
  readonly tenants: readonly Tenant[];
  readonly taps: ReadonlyMap<string, Tap>;
  readonly pump: number;
  readonly fastClock: Signal | null;
  readonly phase: Signal | null;
  /** Row bits of a read as they were at the clock edge, by the name of the reading; filled as they are needed. */
  readonly banks: Map<string, { readonly signal: Signal; readonly from: number }>;
}

/**
 * A read of a pumped block, held from the clock edge at which it is due to the next. Read in an early phase, it waits in
 * a register; read in the last phase, it passes by the register in the first phase of the next cycle.
 */
function hold(
  builder: Builder,
  name: string,
  word: Expr,
  reading: Reading,
  phase: number,
  context: ReadContext,
): Expr {
  const { pump, fastClock, phase: now } = context;
  if (pump === 1) return word;
  if (phase === pump - 1) {
    const due = builder.register(`${name}_due`, reading.clock, null, reading.enable, 0);
    const fresh = all([due, is(now!, 0)]);
    const held = builder.register(`${name}_held`, fastClock!, fresh, word);
    return choose(fresh, word, held);
  }
  const early =
    phase === pump - 2 ? word : builder.register(`${name}_early`, fastClock!, is(now!, phase + 1), word);
  return builder.register(`${name}_held`, reading.clock, reading.enable, early);
}

/** The bits of one tile, for each of the stored words of an access, the first word lowest. */
function tileWord(
  builder: Builder,
  tenant: Tenant,
  source: Source,
  name: string,
  context: ReadContext,
): Signal {
  const tap = context.taps.get(tapKey(context.member, tenant, source.key));
  if (tap === undefined)
    throw new Error(`${tenant.memory}: no port reads copy ${source.copy} for ${source.key}`);
  const pieces = placesOf(tenant, source.reading.group).sort((a, b) => a.sub - b.sub || a.bit - b.bit);
  const word = join(pieces.map(({ at, width }) => bits(tap.data, at, width)));
  const held = hold(builder, name, word, source.reading, tap.phase, context);
  return builder.named(name, held);
}

/** The upper row bits that pick between tiles, as they were when the read was made. */
function bankOf(builder: Builder, source: Source, lowest: number, context: ReadContext) {
  const { reading, key } = source;
  if (context.access.asynchronous) return { signal: reading.row, from: 0 };
  let bank = context.banks.get(key);
  if (bank === undefined) {
    const upper = bits(reading.row, lowest, reading.row.width - lowest);
    const name = `${context.access.own.prefix}${key}_bank`;
    bank = { signal: builder.register(name, reading.clock, reading.enable, upper), from: lowest };
    context.banks.set(key, bank);
  }
  return bank;
}

/** The word that one copy gives to one read: tiles side by side, and those above each other picked by the row. */
export function readWord(builder: Builder, source: Source, context: ReadContext): Signal {
  const { access } = context;
  const { group } = source.reading;
  const { depth, width } = access.stored;
  const copy = context.tenants
    .filter((tenant) => tenant.copy === source.copy)
    .sort((a, b) => a.bits[0] - b.bits[0] || a.rows[0] - b.rows[0]);
  const conditions = new Map(copy.map((tenant) => [tenant, conditionOf(tenant, copy, depth, group)]));
  const stem = `${access.own.prefix}${source.key}_c${source.copy}`;
  const words = new Map(
    copy.map((tenant, index) => [tenant, tileWord(builder, tenant, source, `${stem}_t${index}`, context)]),
  );
  // All tiles of all copies, so that one register serves them.
  const lowest = context.tenants.flatMap((tenant) => {
    const same = context.tenants.filter((other) => other.copy === tenant.copy);
    return lowestBit(conditionOf(tenant, same, depth, group)) ?? [];
  });
  const edges = [...new Set(copy.flatMap(({ bits: [first, last] }) => [first, last + 1]))].sort(
    (a, b) => a - b,
  );
  const parts: Expr[] = [];
  for (let sub = 0; sub < group; sub++) {
    for (let i = 0; i + 1 < edges.length; i++) {
      const from = edges[i]!;
      const count = edges[i + 1]! - from;
      const over = copy.filter(({ bits: [first, last] }) => first <= from && from <= last);
      const partOf = (tenant: Tenant) => {
        const own = tenant.bits[1] - tenant.bits[0] + 1;
        return bits(words.get(tenant)!, sub * own + from - tenant.bits[0], count);
      };
      const last = over.at(-1)!;
      const bank = over.length > 1 ? bankOf(builder, source, Math.min(...lowest), context) : null;
      parts.push(
        over
          .slice(0, -1)
          .reduceRight<Expr>(
            (rest, tenant) =>
              choose(holds(conditions.get(tenant)!, bank!.signal, bank!.from), partOf(tenant), rest),
            partOf(last),
          ),
      );
    }
  }
  const word = builder.wire(`${stem}_word`, group * width);
  let low = 0;
  for (const part of merged(parts)) {
    builder.assign(word, part, low);
    low += part.width;
  }
  return word;
}

/** Neighbours that are slices of one signal, as one. */
function merged(parts: readonly Expr[]): Expr[] {
  const found: Expr[] = [];
  for (const part of parts) {
    const last = found.at(-1);
    const both = last === undefined ? null : join([last, part]);
    if (both !== null && both.op !== "join") found[found.length - 1] = both;
    else found.push(part);
  }
  return found;
}
