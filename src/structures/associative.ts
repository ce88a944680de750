import type * as z from "zod";
import type { MemoryRequest } from "../model/index.js";
import { isPowerOfTwo } from "./arithmetic.js";
import { type CommonParameters, ONE_READ_ONE_WRITE, requestFor } from "./fields.js";
import { type Replacement, replacementState } from "./replacement.js";

/** A table that is looked up by part of an address, in sets or in all its entries at once. */
export interface AssociativeTable extends CommonParameters {
  readonly entries: number;
  /** Ways of a set; `full`: one set that holds every entry. */
  readonly ways: number | "full";
  readonly replacement: Replacement;
}

/** Sets of the table; 1 where it is fully associative. */
export function setCount(table: AssociativeTable): number {
  return table.ways === "full" ? 1 : table.entries / table.ways;
}

/** The rules of such a table: a power of two of sets, registers where every entry is compared at once. */
export function checkTable(table: AssociativeTable, context: z.core.$RefinementCtx<unknown>): void {
  const problem = (field: keyof AssociativeTable, message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: table[field] });
  if (table.ways !== "full") {
    if (!isPowerOfTwo(table.entries / table.ways)) {
      problem("entries", `expected ${table.ways} (ways) times a power of two`);
    }
    return;
  }
  if (table.realisation !== undefined && table.realisation !== "registers") {
    problem("realisation", "expected registers: fully associative entries are compared all at once");
  }
  if (table.in?.some((home) => home !== "registers")) {
    problem("in", "expected registers: fully associative entries are compared all at once");
  }
}

/** A part of an entry that is a memory of its own: its bits, and the figures that give them. */
export interface EntryPart {
  readonly part: string;
  readonly width: number;
  readonly formula: string;
}

/**
 * Memories of a set-associative table: one a way for each part, and the replacement state, all looked up by set in
 * the same cycle. A fully associative one is registers: all parts of its entries, pinned there.
 */
export function tableRequests(table: AssociativeTable, parts: readonly EntryPart[]): MemoryRequest[] {
  if (table.ways === "full") {
    const width = parts.reduce((sum, part) => sum + part.width, 0);
    const text = parts.map((part) => `${part.part} (${part.formula})`).join(" + ");
    return [
      requestFor(table, "entries", {
        depth: table.entries,
        width,
        ports: ONE_READ_ONE_WRITE,
        read: "async",
        realisation: "registers",
        homes: ["registers"],
        formula: {
          depth: `entries ${table.entries}, fully associative`,
          width: parts.length === 1 ? parts[0]!.formula : `${text} = ${width}`,
        },
      }),
    ];
  }
  const ways = table.ways;
  const sets = setCount(table);
  const depth = `sets = entries / ways = ${table.entries} / ${ways} = ${sets}`;
  const replacement = replacementState(table.replacement, ways);
  const grouped = ways * parts.length + (replacement.bits > 0 ? 1 : 0) > 1;
  const member = (part: string, members: number, width: number, formula: string) =>
    requestFor(table, part, {
      depth: sets,
      width,
      ports: ONE_READ_ONE_WRITE,
      instances: table.instances * members,
      lockstep: grouped ? { group: `${table.name}.ways`, members, together: false } : null,
      formula: { depth, width: formula },
    });
  const requests = parts.map((part) => member(part.part, ways, part.width, part.formula));
  if (replacement.bits > 0) {
    requests.push(member("replacement", 1, replacement.bits, replacement.formula));
  }
  return requests;
}

/** What the user should know of a fully associative table; nothing for one in sets. */
export function tableWarnings(table: AssociativeTable, requests: readonly MemoryRequest[]): string[] {
  if (table.ways !== "full") return [];
  const bits = requests.reduce((sum, request) => sum + request.depth * request.width, 0);
  const why = "a match compares every entry at once, which no memory can give";
  return [
    `fully associative: ${why}, so ${table.entries} entries are ${bits} flip-flops and ${table.entries} comparators`,
  ];
}
