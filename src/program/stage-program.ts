import { budgetRow, mostOver } from "./budget-rows.js";
import type { IntegerProgram, Row, Term, Variable } from "./integer-program.js";
import { holdersByKey, type KeyHolder, mostOfTypes } from "./key-holders.js";
import { lutsMatter } from "./luts.js";
import { ownerRows } from "./owner-rows.js";
import {
  type Budget,
  mostItems,
  type Objective,
  type PackProgram,
  type ShareKey,
  sharedByTwo,
} from "./pack-program.js";
import { pairRows } from "./pair-rows.js";
import { type PatternedKey, patternRows } from "./pattern-rows.js";
import { classesOf, type Pattern } from "./patterns.js";
import { mostOfPattern, patternsInUse } from "./patterns-in-use.js";
import { activeColumns, type Stage } from "./stage.js";

/** An integer program and, for each of its variables, the column it counts (-1: a shared block, an overrun or a count of fragments). */
export interface StagedProgram {
  readonly program: IntegerProgram;
  readonly columnOf: readonly number[];
  /** For each variable, the share key and pattern it counts; null: something else. */
  readonly patternOf: readonly ({ readonly key: number; readonly pattern: Pattern } | null)[];
  /** The variable that counts the blocks of each key which are shared by two, by key index; null: the key has patterns. */
  readonly blocksOf: readonly (number | null)[];
  /**
   * The row of each type of each key with patterns, by key index: types may have one together; null: no column brings that type; empty for keys that
   * are shared by two at most.
   */
  readonly typeRows: readonly (readonly (number | null)[])[];
  /** The rows that bound the blocks of keys which are shared by two, with the threshold of each. */
  readonly shareRows: readonly { readonly row: number; readonly key: number; readonly threshold: number }[];
  /** The row of each budget that is a limit, and then of each objective that is settled; null: it has none. */
  readonly limitRows: readonly (number | null)[];
}

/** A key with what its rows are made from. */
interface KeyInPlay {
  readonly index: number;
  readonly key: ShareKey;
  readonly holders: readonly KeyHolder[];
  /** The variables that count its blocks: one for each pattern, or one where they are shared by two. */
  readonly blocks: readonly number[];
  /** Null: its blocks are shared by two. */
  readonly patterned: Omit<PatternedKey, "name" | "blocks"> | null;
}

/** The keys of a program with these columns, whose blocks are the next variables. `luts`: whether those of their multiplexers make a difference. */
function keysInPlay(pack: PackProgram, active: readonly number[], luts: boolean): KeyInPlay[] {
  const holdersOf = holdersByKey(pack, active);
  let next = active.length;
  return pack.shareKeys.map((key, index) => {
    const holders = holdersOf[index]!;
    if (sharedByTwo(key)) return { index, key, holders, blocks: [next++], patterned: null };
    const most = mostOfTypes(pack, key, active, holders);
    const cost = (tenants: number) => (luts ? pack.muxLuts(key, tenants) : 0);
    const patterns = patternsInUse(key, most, cost);
    const patterned = { key, classes: classesOf(key.types), most, patterns };
    return { index, key, holders, blocks: patterns.map(() => next++), patterned };
  });
}

/** The columns in play, with what one item of each counts. */
function columnTerms(active: readonly number[], each: readonly number[]): Term[] {
  return active.map((column, variable) => ({ variable, coefficient: each[column]! }));
}

/** The blocks of all keys, with what one of each key counts. */
function blockTerms(keys: readonly KeyInPlay[], each: readonly number[]): Term[] {
  return keys.flatMap(({ index, blocks }) =>
    blocks.map((variable) => ({ variable, coefficient: each[index]! })),
  );
}

/** The blocks of keys with patterns, with the multiplexer LUTs of each. */
function multiplexerTerms({ muxLuts }: PackProgram, keys: readonly KeyInPlay[]): Term[] {
  return keys.flatMap(({ blocks, patterned }) => {
    if (patterned === null) return [];
    const { key, patterns } = patterned;
    return blocks.map((variable, place) => ({
      variable,
      coefficient: muxLuts(key, patterns[place]!.length),
    }));
  });
}

/** What choices spend of a budget. */
function spendingTerms(
  pack: PackProgram,
  { spends, shared, sharedLuts }: Budget,
  active: readonly number[],
  keys: readonly KeyInPlay[],
): Term[] {
  const luts = sharedLuts ? multiplexerTerms(pack, keys) : [];
  return [...columnTerms(active, spends), ...blockTerms(keys, shared), ...luts].filter(counts);
}

/** What choices add to an objective. */
function objectiveTerms(
  pack: PackProgram,
  objective: Objective,
  active: readonly number[],
  keys: readonly KeyInPlay[],
): Term[] {
  const terms = columnTerms(active, pack.costs[objective]);
  if (objective === "blocks") terms.push(...blockTerms(keys, pack.sharedWeight));
  if (objective === "luts") terms.push(...multiplexerTerms(pack, keys));
  return terms.filter(counts);
}

/** Whether a term makes a difference. */
function counts({ coefficient }: Term): boolean {
  return coefficient !== 0;
}

/**
 * The integer program of one stage. Variables: columns, then shared blocks or patterns of them, then overruns, then blocks of keys with patterns and
 * counts of fragments.
 */
export function stageProgram(pack: PackProgram, stage: Stage): StagedProgram {
  const { columns, budgets, choices } = pack;
  const active = activeColumns(pack, stage);
  const luts = lutsMatter(pack, [...stage.minimise, ...stage.settled], stage.budgets, active);
  const keys = keysInPlay(pack, active, luts);
  const firstOver = keys.reduce((sum, { blocks }) => sum + blocks.length, active.length);
  const overruns = budgets.map(({ weight }, index) => ({ variable: firstOver + index, coefficient: weight }));
  const terms = (objective: Objective | "overrun") =>
    objective === "overrun" ? overruns.filter(counts) : objectiveTerms(pack, objective, active, keys);
  const objective = new Map<number, number>();
  for (const aim of stage.minimise) {
    for (const { variable, coefficient } of terms(aim.objective)) {
      objective.set(variable, (objective.get(variable) ?? 0) + aim.weight * coefficient);
    }
  }
  const isSoft = stage.budgets === "soft";
  const most = (variable: number) => mostItems(choices, columns[active[variable]!]!);
  const variables: Variable[] = [];
  const rows: Row[] = [];
  const add = (name: string, upper: number | null, isCount = false) => {
    const cost = objective.get(variables.length) ?? 0;
    variables.push({ name, objective: cost, upper, ...(isCount ? { isCount } : {}) });
  };
  for (const [variable, column] of active.entries()) add(`x${column}`, most(variable));
  for (const { blocks, patterned } of keys) {
    for (const [place, variable] of blocks.entries()) {
      const name = `z${variable - active.length}`;
      if (patterned === null) add(name, null, true);
      else add(name, mostOfPattern(patterned.patterns[place]!, patterned.classes, patterned.most));
    }
  }
  if (isSoft) for (const index of budgets.keys()) add(`o${index}`, null);

  const variableOf = new Map(active.map((column, variable) => [column, variable]));
  rows.push(...ownerRows(pack, stage.owners, (column) => variableOf.get(column) ?? null));

  const typeRows: (readonly (number | null)[])[] = [];
  const shareRows: { row: number; key: number; threshold: number }[] = [];
  for (const { index, key, holders, blocks, patterned } of keys) {
    const firstRow = rows.length;
    if (patterned !== null) {
      const own = patternRows({ name: `${index}`, ...patterned, blocks }, holders, variables.length);
      typeRows.push(own.typeRows.map((row) => (row === null ? null : firstRow + row)));
      variables.push(...own.variables);
      rows.push(...own.rows);
      continue;
    }
    typeRows.push([]);
    const count = blocks[0]!;
    const sharing = pairRows(`${index}`, holders, key.cells, count, variables.length, most);
    // No more blocks than fragments.
    variables[count] = { ...variables[count]!, upper: sharing.variables.at(-1)?.upper ?? 0 };
    variables.push(...sharing.variables);
    rows.push(...sharing.rows);
    sharing.thresholds.forEach((threshold, place) => {
      if (threshold !== null) shareRows.push({ row: firstRow + place, key: index, threshold });
    });
  }

  const limitRows: (number | null)[] = [];
  if (stage.budgets !== "none") {
    for (const [index, budget] of budgets.entries()) {
      const spending = budget.sharedLuts && !luts ? [] : spendingTerms(pack, budget, active, keys);
      limitRows.push(spending.length === 0 ? null : rows.length);
      if (spending.length === 0) continue;
      const over = isSoft ? firstOver + index : null;
      if (over !== null)
        variables[over] = { ...variables[over]!, upper: mostOver(budget, spending, variables) };
      // The last pool's units follow from those of the others and the objective.
      const isCounted = budget.ofPool && budgets[index + 1]?.ofPool === true;
      const use = { over, isCounted, first: variables.length };
      const { row, variable } = budgetRow(budget, index, spending, use);
      rows.push(row);
      if (variable !== null) variables.push(variable);
    }
  }
  if (stage.atLeast !== null && stage.atLeast > 0) {
    const row = terms(stage.minimise[0]!.objective);
    if (row.length > 0) rows.push({ name: "l", terms: row, lower: stage.atLeast, upper: null });
  }
  stage.settled.forEach(({ objective: settled, value }, index) => {
    const row = terms(settled);
    limitRows.push(row.length > 0 ? rows.length : null);
    if (row.length > 0) rows.push({ name: `k${index}`, terms: row, lower: null, upper: value });
  });
  const patternOf: StagedProgram["patternOf"][number][] = variables.map(() => null);
  for (const { index, blocks, patterned } of keys) {
    patterned?.patterns.forEach((pattern, place) => {
      patternOf[blocks[place]!] = { key: index, pattern };
    });
  }
  return {
    program: { variables, rows },
    columnOf: variables.map((_, variable) => active[variable] ?? -1),
    patternOf,
    blocksOf: keys.map(({ blocks, patterned }) => (patterned === null ? blocks[0]! : null)),
    typeRows,
    shareRows,
    limitRows,
  };
}
