import { EPSILON } from "./limits.js";
import type { StageModel } from "./stage-model.js";

/** Decisions put together, and what they add up to. */
export interface Choice {
  /** Price above the cheapest choice of the same parts. */
  readonly above: number;
  /** What it adds to the objective, shared blocks apart. */
  readonly own: number;
  /** What counts between choices of one value. */
  readonly tie: number;
  /** What it adds to each limit that matters, shared blocks apart. */
  readonly spends: Float64Array;
  /** Twice the blocks that it asks for in each share row that is tracked; null: it shares nothing. */
  readonly demand: Float64Array | null;
  readonly made: Made;
}

type Made =
  | null
  | { readonly column: number }
  | { readonly a: Choice; readonly b: Choice; readonly times: number };

/** What choices are compared in. */
export interface Measure {
  readonly model: StageModel;
  /** The limits that some choice could break, in the order of `Choice.spends`. */
  readonly limits: readonly number[];
  /** The share rows that are tracked, in the order of `Choice.demand`: those of one key stand together. */
  readonly rows: readonly number[];
  /** First entry of each key in `rows`, and their number at the end. */
  readonly firstRow: readonly number[];
  /** Place of each share row of the model in `rows`; -1: it is not tracked. */
  readonly place: Int32Array;
}

/** The measure of some limits and share rows of a model. */
export function measureOf(
  model: StageModel,
  limits: readonly number[],
  tracked: ReadonlySet<number>,
): Measure {
  const rows = [...tracked].sort((a, b) => a - b);
  const place = new Int32Array(model.rows.length).fill(-1);
  rows.forEach((row, index) => {
    place[row] = index;
  });
  const firstRow = Array.from(model.firstRow, (first) => rows.filter((row) => row < first).length);
  return { model, limits, rows, firstRow, place };
}

/** The choice of nothing. */
export function nothing({ limits }: Measure): Choice {
  return { above: 0, own: 0, tie: 0, spends: new Float64Array(limits.length), demand: null, made: null };
}

/** One item of a column. */
export function oneOf({ model, limits, rows, place }: Measure, column: number, above: number): Choice {
  const { own, tie, start, row, halves } = model;
  let demand: Float64Array | null = null;
  for (let e = start[column]!; e < start[column + 1]!; e++) {
    const at = place[row[e]!]!;
    if (at < 0) continue;
    demand ??= new Float64Array(rows.length);
    demand[at]! += halves[e]!;
  }
  return {
    above,
    own: own[column]!,
    tie: tie === null ? 0 : tie[column]!,
    spends: Float64Array.from(limits, (l) => model.limits[l]!.spends[column]!),
    demand,
    made: { column },
  };
}

/** `a` and `times` of `b`. */
export function plus(a: Choice, b: Choice, times = 1): Choice {
  const spends = new Float64Array(a.spends.length);
  for (let l = 0; l < spends.length; l++) spends[l] = a.spends[l]! + times * b.spends[l]!;
  let { demand } = a;
  if (b.demand !== null) {
    const sum = new Float64Array(b.demand.length);
    for (let r = 0; r < sum.length; r++) {
      sum[r] = times * b.demand[r]! + (demand === null ? 0 : demand[r]!);
    }
    demand = sum;
  }
  return {
    above: a.above + times * b.above,
    own: a.own + times * b.own,
    tie: a.tie + times * b.tie,
    spends,
    demand,
    made: { a, b, times },
  };
}

/** Items of each column. */
export function countsOf(choice: Choice, columns: number): number[] {
  const counts = Array<number>(columns).fill(0);
  const add = ({ made }: Choice, times: number): void => {
    if (made === null) return;
    if ("column" in made) counts[made.column]! += times;
    else {
      add(made.a, times);
      add(made.b, times * made.times);
    }
  };
  add(choice, 1);
  return counts;
}

/** Shared blocks of each key that a demand asks for, as far as rows are tracked. */
export function blocksOf({ model, firstRow }: Measure, demand: Float64Array): number[] {
  return model.sharedCost.map((_, key) => {
    let most = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) most = Math.max(most, demand[r]!);
    return Math.ceil(most / 2);
  });
}

/** Whether `a` is as good as `b` whatever comes with them: shared blocks that `a` may need more of count as spent. */
export function beats(measure: Measure, a: Choice, b: Choice): boolean {
  if (a.own > b.own || (a.own === b.own && a.tie > b.tie)) return false;
  for (let l = 0; l < a.spends.length; l++) if (a.spends[l]! > b.spends[l]! + EPSILON) return false;
  if (a.demand === null) return true;
  const { firstRow } = measure;
  const { sharedCost, limits } = measure.model;
  let { own } = a;
  let spends: Float64Array | null = null;
  for (let key = 0; key < sharedCost.length; key++) {
    let more = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      const difference = a.demand[r]! - (b.demand === null ? 0 : b.demand[r]!);
      if (difference > more) more = difference;
    }
    if (more <= EPSILON) continue;
    const blocks = Math.ceil(more / 2);
    own += blocks * sharedCost[key]!;
    if (own > b.own) return false;
    spends ??= Float64Array.from(a.spends);
    for (let l = 0; l < spends.length; l++) {
      spends[l]! += blocks * limits[measure.limits[l]!]!.shared[key]!;
      if (spends[l]! > b.spends[l]! + EPSILON) return false;
    }
  }
  return own < b.own || a.tie <= b.tie;
}

/** How many of the choices kept so far a further one is held against. */
const COMPARED = 100;

/** The choices that no other beats, the cheapest first; some that are beaten may stay. */
export function unbeaten(measure: Measure, choices: Choice[]): Choice[] {
  choices.sort((a, b) => a.above - b.above || a.own - b.own || a.tie - b.tie);
  const kept: Choice[] = [];
  for (const choice of choices) {
    let beaten = false;
    for (let i = kept.length - 1; i >= 0 && i >= kept.length - COMPARED; i--) {
      if (beats(measure, kept[i]!, choice)) {
        beaten = true;
        break;
      }
    }
    if (!beaten) kept.push(choice);
  }
  return kept;
}
