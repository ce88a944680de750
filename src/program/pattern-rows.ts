import type { IntegerProgram, Row, Term, Variable } from "./integer-program.js";
import type { KeyHolder } from "./key-holders.js";
import type { StackKey } from "./pack-program.js";
import type { Pattern } from "./patterns.js";

/** What the rows of a key with patterns are made from. */
export interface PatternedKey {
  /** Tells keys apart. */
  readonly name: string;
  readonly key: StackKey;
  /** Types that stand in for each other, the largest of a class first. */
  readonly classes: readonly (readonly number[])[];
  /** The most fragments of each type. */
  readonly most: readonly number[];
  readonly patterns: readonly Pattern[];
  /** The variable of each pattern. */
  readonly blocks: readonly number[];
}

/** The blocks of a key with patterns as variables and rows. */
export interface PatternRows extends IntegerProgram {
  /** The row of each type, by index: types may have one together; null: no column brings that type. */
  readonly typeRows: readonly (number | null)[];
}

/**
 * Types of a class, the largest first, each that patterns have places for with the smaller ones up to the next such: all of these lie in places of
 * that type or larger, so that one row says as much of them as one each.
 */
function typesByRow(types: readonly number[], places: ReadonlySet<number>): number[][] {
  const found: number[][] = [];
  for (const type of types) {
    if (found.length === 0 || places.has(type)) found.push([type]);
    else found.at(-1)!.push(type);
  }
  return found;
}

/**
 * The blocks of a key as rows: they have places for all fragments of the holders, each in one of its type or a larger one. Variables of
 * their own, from `first` on, carry the places that are left to smaller types, and count the blocks, for an engine to branch on rather than on
 * patterns, which stand in for each other.
 */
export function patternRows(
  { name, key, classes, most, patterns, blocks }: PatternedKey,
  holders: readonly KeyHolder[],
  first: number,
): PatternRows {
  const variables: Variable[] = [];
  const rows: Row[] = [];
  const typeRows: (number | null)[] = key.types.map(() => null);
  const sumOfMost = (types: readonly number[]) => types.reduce((sum, type) => sum + most[type]!, 0);
  // Without all patterns in play, ones with places for any type may follow.
  const places = new Set(key.complete ? patterns.flat() : key.types.keys());
  for (const types of classes) {
    const inUse = types.filter((type) => !key.complete || most[type]! > 0);
    let surplus: number | null = null;
    let smaller = sumOfMost(inUse);
    for (const alike of typesByRow(inUse, places)) {
      const [largest] = alike;
      const terms: Term[] = [];
      for (const { variable, types, times } of holders) {
        const count = times * alike.reduce((sum, type) => sum + (types.get(type) ?? 0), 0);
        if (count > 0) terms.push({ variable, coefficient: -count });
      }
      patterns.forEach((pattern, place) => {
        const count = pattern.filter((held) => held === largest).length;
        if (count > 0) terms.push({ variable: blocks[place]!, coefficient: count });
      });
      if (surplus !== null) terms.push({ variable: surplus, coefficient: 1 });
      // Places that are left may hold smaller types.
      smaller -= sumOfMost(alike);
      surplus = null;
      if (smaller > 0) {
        surplus = first + variables.length;
        terms.push({ variable: surplus, coefficient: -1 });
        variables.push({ name: `w${name}_${largest}`, objective: 0, upper: smaller });
      }
      for (const type of alike) typeRows[type] = rows.length;
      rows.push({ name: `t${name}_${largest}`, terms, lower: 0, upper: null });
    }
  }
  const all = blocks.map((variable) => ({ variable, coefficient: 1 }));
  all.push({ variable: first + variables.length, coefficient: -1 });
  // No more blocks than fragments.
  variables.push({ name: `n${name}`, objective: 0, upper: sumOfMost([...key.types.keys()]), isCount: true });
  rows.push({ name: `n${name}`, terms: all, lower: 0, upper: 0 });
  return { variables, rows, typeRows };
}
