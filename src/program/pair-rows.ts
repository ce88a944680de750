import type { IntegerProgram, Term, Variable } from "./integer-program.js";
import { tellingThresholds } from "./share-rows.js";

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

/** Where fragments are counted from, for extents in falling order: up to which places of that list. */
interface CountedPlaces {
  /** The thresholds that have a row, each with the places that it asks for. */
  readonly telling: readonly { readonly threshold: number; readonly places: readonly number[] }[];
  /** All places that a row asks for, and the last one, in rising order: which of the extents between two of them a fragment has makes no difference. */
  readonly counted: readonly number[];
}

/** The places up to which the fragments of a key, of these extents in falling order, are counted. */
export function countedPlaces(extents: readonly number[], cells: number): CountedPlaces {
  /** Those of the threshold or more count once, those larger than cells - threshold twice. */
  const placeFrom = (least: number) => extents.findLastIndex((extent) => extent >= least);
  const telling = tellingThresholds(extents, cells).map((threshold) => ({
    threshold,
    places: [placeFrom(threshold), placeFrom(cells - threshold + 1)].filter((place) => place >= 0),
  }));
  const counted = [...new Set([...telling.flatMap(({ places }) => places), extents.length - 1])]
    .filter((place) => place >= 0)
    .sort((a, b) => a - b);
  return { telling, counted };
}

/**
 * The pairing bound of a key as rows: the variable `blocks` is no less than what the fragments of the holders ask for at any
 * threshold. Variables of their own, from `first` on, count the fragments that are as large as a row asks for, so that it has three terms:
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
  const { telling, counted } = countedPlaces(extents, cells);
  let upper = 0;
  let next = 0;
  const variables: Variable[] = [];
  const counting = counted.map((place, index) => {
    const counts = new Map<number, number>();
    for (; next <= place; next++) {
      for (const [variable, count] of byExtent.get(extents[next]!)!) {
        counts.set(variable, (counts.get(variable) ?? 0) + count);
        upper += count * most(variable);
      }
    }
    variables.push({ name: `y${name}_${index}`, objective: 0, upper, follows: true });
    const terms: Term[] = [...counts].map(([variable, coefficient]) => ({ variable, coefficient }));
    if (index > 0) terms.push({ variable: first + index - 1, coefficient: 1 });
    terms.push({ variable: first + index, coefficient: -1 });
    return { name: `e${name}_${index}`, terms, lower: 0, upper: 0 };
  });
  const bounding = telling.flatMap(({ threshold, places }, step) => {
    const terms: Term[] = [{ variable: blocks, coefficient: 2 }];
    for (const place of places) terms.push({ variable: first + counted.indexOf(place), coefficient: -1 });
    const row = { name: `s${name}_${step}`, terms, lower: 0, upper: null };
    return terms.length > 1 ? [{ threshold, row }] : [];
  });
  return {
    variables,
    rows: [...counting, ...bounding.map(({ row }) => row)],
    thresholds: [...counting.map(() => null), ...bounding.map(({ threshold }) => threshold)],
  };
}
