import {
  classesOf,
  type PackProgram,
  type Pattern,
  placesOf,
  type StackKey,
  type StagedProgram,
  spendingOf,
} from "../program/index.js";
import { violatedRows } from "../program/integer-program.js";
import type { Held } from "./held.js";

/** The variable of the least pattern of a key that has room for all types of another; null: none has. */
function variableFor(
  { shareKeys }: PackProgram,
  { patternOf }: StagedProgram,
  index: number,
  pattern: Pattern,
): number | null {
  const { types } = shareKeys[index] as StackKey;
  const classes = classesOf(types);
  /** The words of each place by class, most first. */
  const roomOf = (each: Pattern) =>
    classes.map((list) => placesOf(list, each).map((type) => types[type]!.rows));
  const needed = roomOf(pattern);
  let chosen: number | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const [variable, entry] of patternOf.entries()) {
    if (entry?.key !== index || entry.pattern.length >= least) continue;
    const room = roomOf(entry.pattern);
    const isTooSmall = needed.some((rows, at) => rows.some((each, place) => (room[at]![place] ?? 0) < each));
    if (isTooSmall) continue;
    chosen = variable;
    least = entry.pattern.length;
  }
  return chosen;
}

/**
 * The values of all variables of a program that stand for a choice. Null where the program has no place for it: a column or a pattern is left
 * out, or a row is broken.
 */
export function valuesOf(pack: PackProgram, staged: StagedProgram, held: Held): readonly number[] | null {
  const { program, columnOf, patternOf, blocksOf } = staged;
  const values = program.variables.map((): number | null => null);
  const columns = new Set(columnOf);
  if (held.counts.some((items, column) => items > 0 && !columns.has(column))) return null;
  for (const [variable, column] of columnOf.entries()) {
    if (column >= 0) values[variable] = held.counts[column]!;
    else if (patternOf[variable] !== null) values[variable] = 0;
  }
  const { shared, patterns } = spendingOf(pack, held.counts, held.patterns);
  for (const [key, blocks] of blocksOf.entries()) {
    if (blocks !== null) {
      values[blocks] = shared[key]!;
      continue;
    }
    for (const { pattern, count } of patterns[key] ?? []) {
      const variable = variableFor(pack, staged, key, pattern);
      if (variable === null) return null;
      values[variable]! += count;
    }
  }
  // The others count what these bring, or what is left, each by a row of its own: in the order of the rows, all but one variable is known.
  for (const { terms, lower, upper } of program.rows) {
    if (lower !== null && upper !== null && lower !== upper) continue;
    const open = terms.filter(({ variable }) => values[variable] === null);
    if (open.length !== 1) continue;
    const { variable, coefficient } = open[0]!;
    const rest = terms.reduce((sum, term) => sum + term.coefficient * (values[term.variable] ?? 0), 0);
    if (lower === null) {
      // A limit with what it is overrun by.
      if (upper !== null && coefficient < 0) values[variable] = Math.max(0, (upper - rest) / coefficient);
      continue;
    }
    if (upper === null && coefficient > 0) continue;
    const value = (lower - rest) / coefficient;
    const most = upper === null ? program.variables[variable]!.upper : null;
    values[variable] = most === null ? value : Math.min(value, most);
  }
  const whole = values.map((value) => value ?? 0);
  return violatedRows(program, whole).length === 0 ? whole : null;
}
