import { type PackProgram, type Pattern, type StagedProgram, spendingOf } from "../program/index.js";
import { violatedRows } from "../program/integer-program.js";
import type { Held } from "./held.js";

/** How often each type stands in a pattern; like types stand together. */
function counted(pattern: Pattern): Map<number, number> {
  const found = new Map<number, number>();
  for (const type of pattern) found.set(type, (found.get(type) ?? 0) + 1);
  return found;
}

/** The variable of the least pattern of a key that has room for all types of another; null: none has. */
function variableFor({ patternOf }: StagedProgram, key: number, pattern: Pattern): number | null {
  const needed = [...counted(pattern)];
  let chosen: number | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (const [variable, entry] of patternOf.entries()) {
    if (entry?.key !== key || entry.pattern.length >= least) continue;
    const has = counted(entry.pattern);
    if (needed.some(([type, count]) => (has.get(type) ?? 0) < count)) continue;
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
      const variable = variableFor(staged, key, pattern);
      if (variable === null) return null;
      values[variable]! += count;
    }
  }
  // The others count what these bring, each by a row of its own: in the order of the rows, all but one variable is known.
  for (const { terms, lower, upper } of program.rows) {
    if (lower === null || lower !== upper) continue;
    const open = terms.filter(({ variable }) => values[variable] === null);
    if (open.length !== 1) continue;
    const rest = terms.reduce(
      (sum, { variable, coefficient }) => sum + coefficient * (values[variable] ?? 0),
      0,
    );
    values[open[0]!.variable] = (lower - rest) / open[0]!.coefficient;
  }
  const whole = values.map((value) => value ?? 0);
  return violatedRows(program, whole).length === 0 ? whole : null;
}
