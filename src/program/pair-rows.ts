import type { IntegerProgram, Term } from "./integer-program.js";
import { thresholds } from "./share-rows.js";

/** A variable that counts items, each with fragments of one key, of these extents, that count so many times. */
export interface Holder {
  readonly variable: number;
  readonly extents: readonly number[];
  readonly times: number;
}

/** The pairing bound of a key as variables and rows. */
export interface PairRows extends IntegerProgram {
  /** The threshold that each row bounds the blocks by; null: it counts fragments. */
  readonly thresholds: readonly (number | null)[];
}

/**
 * The pairing bound of a key as rows: the variable `blocks` is no less than what the fragments of the holders ask for at any
 * threshold. Variables of their own, from `first` on, count the fragments of each extent or larger, so that a row has three terms:
 * rows that name every fragment at every threshold are dense. `name` tells keys apart, `most` gives the most items of a variable.
 */
export function pairRows(
  name: string,
  holders: readonly Holder[],
  cells: number,
  blocks: number,
  first: number,
  most: (variable: number) => number,
): PairRows {
  const byExtent = new Map<number, Map<number, number>>();
  for (const { variable, extents, times } of holders) {
    for (const extent of extents) {
      const counts = byExtent.get(extent) ?? new Map<number, number>();
      counts.set(variable, (counts.get(variable) ?? 0) + times);
      byExtent.set(extent, counts);
    }
  }
  const extents = [...byExtent.keys()].sort((a, b) => b - a);
  let upper = 0;
  const variables = extents.map((extent, place) => {
    for (const [variable, count] of byExtent.get(extent)!) upper += count * most(variable);
    return { name: `y${name}_${place}`, objective: 0, upper };
  });
  const counting = extents.map((extent, place) => {
    const terms: Term[] = [...byExtent.get(extent)!].map(([variable, coefficient]) => ({
      variable,
      coefficient,
    }));
    if (place > 0) terms.push({ variable: first + place - 1, coefficient: 1 });
    terms.push({ variable: first + place, coefficient: -1 });
    return { name: `e${name}_${place}`, terms, lower: 0, upper: 0 };
  });
  const bounding = thresholds(extents, cells).flatMap((threshold, step) => {
    const terms: Term[] = [{ variable: blocks, coefficient: 2 }];
    // Twice for those larger than cells - threshold, once for those of the threshold or more.
    for (const least of [threshold, cells - threshold + 1]) {
      const place = extents.findLastIndex((extent) => extent >= least);
      if (place >= 0) terms.push({ variable: first + place, coefficient: -1 });
    }
    const row = { name: `s${name}_${step}`, terms, lower: 0, upper: null };
    return terms.length > 1 ? [{ threshold, row }] : [];
  });
  return {
    variables,
    rows: [...counting, ...bounding.map(({ row }) => row)],
    thresholds: [...counting.map(() => null), ...bounding.map(({ threshold }) => threshold)],
  };
}
