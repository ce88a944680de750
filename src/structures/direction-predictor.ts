import * as z from "zod";
import type { MemoryRequest } from "../model/index.js";
import { sumText } from "./arithmetic.js";
import {
  bits,
  commonFields,
  count,
  countOrNone,
  expected,
  ONE_READ_ONE_WRITE,
  requestFor,
} from "./fields.js";
import { defineStructure } from "./structure.js";

/** Longest history that picks an entry by itself: 2^24 entries are beyond any device. */
const LONGEST_INDEX_HISTORY = 24;

/** Most tagged tables of one predictor; published ones have up to 30. */
const MOST_TABLES = 64;

/** Global history that picks an entry: 2 to its power is a depth, so it is short. */
function indexHistory() {
  return bits().refine((n) => n <= LONGEST_INDEX_HISTORY, {
    error: `expected at most ${LONGEST_INDEX_HISTORY} bits of history, each pattern of which picks an entry`,
    abort: true,
  });
}

const shared = {
  kind: z.literal("direction-predictor").describe("Kind of structure."),
  ...commonFields,
} as const;

/** Counters picked by the address of the branch. */
const bimodal = z.strictObject({
  ...shared,
  scheme: z.literal("bimodal").describe("Counters picked by the address of the branch."),
  entries: count().describe("Counters."),
  counter: bits().default(2).describe("Bits of a counter. Default 2."),
});

/** One table of counters picked by global history mixed with the address. */
const globalHistory = z.strictObject({
  ...shared,
  scheme: z
    .literal("global-history")
    .describe("One table of counters picked by global history mixed with the address."),
  history: indexHistory().describe("Bits of global history, at most 24."),
  entries: count().optional().describe("Counters. Default: one for each history."),
  counter: bits().default(2).describe("Bits of a counter. Default 2."),
});

/** An (m, n) predictor: for each entry picked by the address, an n-bit counter for each of 2^m histories. */
const correlating = z.strictObject({
  ...shared,
  scheme: z
    .literal("correlating")
    .describe(
      "An (m, n) predictor: for each entry picked by the address, an n-bit counter for each of 2^m histories.",
    ),
  history: countOrNone()
    .refine((n) => n <= LONGEST_INDEX_HISTORY, {
      error: `expected at most ${LONGEST_INDEX_HISTORY} bits of history`,
      abort: true,
    })
    .describe("m: bits of global history, at most 24; 0 leaves one counter an entry."),
  entries: count().describe("Entries picked by the address of the branch."),
  counter: bits().default(2).describe("n: bits of a counter. Default 2."),
});

/** Two levels: a history for each of some branches, which picks a counter. */
const local = z.strictObject({
  ...shared,
  scheme: z
    .literal("local")
    .describe("Two levels: a history for each of some branches, which picks a counter."),
  entries: count().describe("Histories, picked by the address of the branch."),
  history: indexHistory().describe("Bits of each history, at most 24."),
  counters: count().optional().describe("Counters. Default: one for each history."),
  counter: bits().default(2).describe("Bits of a counter. Default 2."),
});

const tablesMessage = expected(
  `a list of 1 to ${MOST_TABLES} tables { entries, tag, history } or a series { count, entries, tag, min_history, max_history }`,
);

/** Tables one by one. */
const tableList = z
  .array(
    z.strictObject({
      entries: count().describe("Entries of the table."),
      tag: bits().describe("Bits of the tag."),
      history: count()
        .optional()
        .describe("Bits of history that pick the entry; no part of the table's size."),
    }),
  )
  .min(1, { error: tablesMessage })
  .max(MOST_TABLES, { error: tablesMessage });

/** Equal tables whose histories form a geometric series. */
const tableSeries = z.strictObject({
  count: count(MOST_TABLES).describe("Tables, whose histories form a geometric series."),
  entries: count().describe("Entries of each."),
  tag: bits().describe("Bits of the tag of each."),
  min_history: count().describe("Bits of history of the first table."),
  max_history: count().describe("Bits of history of the last table; at least min_history."),
});

/** A base table and tables with tags, of rising history length. */
const tagged = z.strictObject({
  ...shared,
  scheme: z.literal("tagged").describe("A base table, and tables with tags, of rising history length."),
  base: z
    .strictObject({
      entries: count().describe("Counters of the base."),
      counter: bits()
        .default(2)
        .describe(
          "Bits of a counter. With hysteresis, at least 2, of which only the prediction bit is an entry's own. Default 2.",
        ),
      hysteresis: count()
        .optional()
        .describe(
          "Entries of a separate table of the low counter bits, shared between neighbours; a divisor of entries. Left out: none.",
        ),
    })
    .optional()
    .describe("What predicts where no tag matches. Left out: another structure."),
  tables: z
    .union([tableList, tableSeries], { error: tablesMessage })
    .describe("Tables with tags, one by one, or a series of equal ones."),
  counter: bits().default(3).describe("Bits of a counter in the tagged tables. Default 3."),
  useful: countOrNone().default(2).describe("Bits that tell how useful an entry has been. Default 2."),
});

const fields = z.discriminatedUnion("scheme", [bimodal, globalHistory, correlating, local, tagged], {
  error: "expected a scheme: bimodal, global-history, correlating, local or tagged",
});

/** Parameters of a direction predictor, as read. */
export type DirectionPredictorParameters = z.output<typeof fields>;

type Tagged = Extract<DirectionPredictorParameters, { scheme: "tagged" }>;

/** A tagged table: entries, tag bits, and history bits where stated. */
export interface TaggedTable {
  readonly entries: number;
  readonly tag: number;
  readonly history: number | null;
}

/**
 * History lengths of a geometric series from `first` to `last`, rounded, both ends exact:
 * L(i) = first x (last / first)^((i - 1) / (n - 1)). Source: Seznec, Analysis of the O-GEometric History Length
 * branch predictor, 2005 (from memory). One table takes `first`.
 */
export function geometricHistories(tables: number, first: number, last: number): number[] {
  return Array.from({ length: tables }, (_, i) =>
    tables === 1 ? first : Math.round(first * (last / first) ** (i / (tables - 1))),
  );
}

/** The tagged tables, one by one. */
function taggedTables(p: Tagged): TaggedTable[] {
  if (Array.isArray(p.tables)) {
    return p.tables.map(({ entries, tag, history }) => ({ entries, tag, history: history ?? null }));
  }
  const { entries, tag, count: tables, min_history, max_history } = p.tables;
  return geometricHistories(tables, min_history, max_history).map((history) => ({ entries, tag, history }));
}

function checkRules(
  p: DirectionPredictorParameters,
  context: z.core.$RefinementCtx<DirectionPredictorParameters>,
): void {
  const problem = (path: string[], message: string, input: unknown) =>
    context.addIssue({ code: "custom", path, message, input });
  if (p.scheme !== "tagged") return;
  const { tables, base } = p;
  if (!Array.isArray(tables) && tables.max_history < tables.min_history) {
    const message = `expected at least min_history, ${tables.min_history}`;
    problem(["tables", "max_history"], message, tables.max_history);
  }
  if (base?.hysteresis === undefined) return;
  if (base.counter < 2) {
    problem(
      ["base", "counter"],
      "expected 2 bits or more, of which hysteresis holds the low ones",
      base.counter,
    );
  }
  if (base.entries % base.hysteresis !== 0) {
    problem(
      ["base", "hysteresis"],
      `expected a divisor of the ${base.entries} base entries`,
      base.hysteresis,
    );
  }
}

/** A table of a predictor: read for a prediction and written for an update, in the same cycle. */
function table(
  p: DirectionPredictorParameters,
  part: string,
  depth: readonly [words: number, formula: string],
  width: readonly [bits: number, formula: string],
  tables = 1,
): MemoryRequest {
  return requestFor(p, part, {
    depth: depth[0],
    width: width[0],
    ports: ONE_READ_ONE_WRITE,
    instances: p.instances * tables,
    formula: { depth: depth[1], width: width[1] },
  });
}

const entriesOf = (n: number) => [n, `entries ${n}`] as const;
const counterOf = (n: number) => [n, `counter ${n}`] as const;

/** Tables of the base: counters, or prediction bits with shared low bits. */
function baseRequests(p: Tagged): MemoryRequest[] {
  if (p.base === undefined) return [];
  const { entries, counter, hysteresis } = p.base;
  if (hysteresis === undefined) return [table(p, "base", entriesOf(entries), counterOf(counter))];
  const low = counter - 1;
  return [
    table(p, "base", entriesOf(entries), [1, "prediction 1"]),
    table(
      p,
      "hysteresis",
      [hysteresis, `entries ${entries} / ${entries / hysteresis} that share = ${hysteresis}`],
      [low, `counter ${counter} - prediction 1 = ${low}`],
    ),
  ];
}

/**
 * Tagged tables, equal ones as instances of one request. They are picked by different histories, so they see
 * different addresses and cannot lie side by side.
 */
function taggedRequests(p: Tagged): MemoryRequest[] {
  const bySize = new Map<string, TaggedTable[]>();
  for (const each of taggedTables(p)) {
    const key = `${each.entries}x${each.tag + p.counter + p.useful}`;
    bySize.set(key, [...(bySize.get(key) ?? []), each]);
  }
  return [...bySize].map(([key, equal]) => {
    const { entries, tag } = equal[0]!;
    const histories = equal.flatMap(({ history }) => (history === null ? [] : [history]));
    const over = histories.length === 0 ? "" : `, over ${histories.join(", ")} bits of history`;
    const parts = [
      ["tag", tag],
      ["counter", p.counter],
      ["useful", p.useful],
    ] as const;
    const tables = `${equal.length} ${equal.length === 1 ? "table" : "tables"}`;
    return table(
      p,
      `tagged_${key}`,
      [entries, `entries ${entries}, ${tables}${over}`],
      [tag + p.counter + p.useful, sumText(parts)],
      equal.length,
    );
  });
}

function requests(p: DirectionPredictorParameters): MemoryRequest[] {
  switch (p.scheme) {
    case "bimodal":
      return [table(p, "counters", entriesOf(p.entries), counterOf(p.counter))];
    case "global-history": {
      const all = 2 ** p.history;
      const depth =
        p.entries === undefined
          ? ([all, `2^history = 2^${p.history} = ${all}`] as const)
          : entriesOf(p.entries);
      return [table(p, "counters", depth, counterOf(p.counter))];
    }
    case "correlating": {
      const depth = 2 ** p.history * p.entries;
      const text = `2^history x entries = 2^${p.history} x ${p.entries} = ${depth}`;
      return [table(p, "counters", [depth, text], counterOf(p.counter))];
    }
    case "local": {
      const all = p.counters ?? 2 ** p.history;
      return [
        table(p, "histories", entriesOf(p.entries), [p.history, `history ${p.history}`]),
        table(
          p,
          "counters",
          [all, p.counters === undefined ? `2^history = 2^${p.history} = ${all}` : `counters ${all}`],
          counterOf(p.counter),
        ),
      ];
    }
    case "tagged":
      return [...baseRequests(p), ...taggedRequests(p)];
  }
}

/** Whether branches are taken: tables of counters, by one of five schemes. */
export const directionPredictor = defineStructure<DirectionPredictorParameters>({
  kind: "direction-predictor",
  summary: "whether a branch is taken: bimodal, global-history, correlating, local or tagged",
  schema: fields.superRefine(checkRules),
  derive: (p) => ({ requests: requests(p), warnings: [] }),
});
