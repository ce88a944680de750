import { type Change, Choice, type Costs } from "./choice.js";
import { EPSILON } from "./limits.js";
import type { Part } from "./parts.js";
import type { StageModel } from "./stage-model.js";

type Layout = NonNullable<Part["configs"]>[number];

/** Moves of a search, at least and for each part. Most of what a search finds it finds in the first few. */
const MOVES = { least: 40, each: 1 };

/** Moves looked at in all, after which a search ends: a few tenths of a second. */
const MOST_LOOKS = 100_000;

/** Moves without a better choice after which a search that has met one ends. */
const IDLE = 25;

/** Of the columns of a stage, so many with the least reduced prices are moved to, at least and for each part. */
const COLUMNS_TRIED = { least: 100, each: 3 };

/** A column that was left is not moved to for so many moves, and up to `SPREAD` more. */
const TABU = 15;
const SPREAD = 11;

/** A limit that is broken counts for so much more after each move, one that is kept for so much less. */
const PRESS = { broken: 1.3, kept: 0.9 };

/** How many times its price in the relaxation a limit counts at first. */
const OVER_PRICE = 2;

/** Whether work is still needed; lets others have the thread now and then. */
export type GoesOn = () => Promise<boolean>;

/** What is searched. */
export interface SearchTask {
  readonly model: StageModel;
  readonly costs: Costs;
  /** How much dearer, at least, a solution gets with each column of the pack program: what costs least is tried. */
  readonly reduced: Float64Array;
  /** What one unit of each limit of the model is worth in the objective. */
  readonly limitPrices: readonly number[];
}

/** A part with its columns in order of their reduced prices, and those of them that are tried. */
interface Searched {
  readonly requests: readonly { readonly columns: readonly number[]; readonly tried: readonly number[] }[];
  readonly configs: readonly Layout[];
  readonly triedConfigs: readonly Layout[];
}

function searchedParts({ model, reduced }: SearchTask): Searched[] {
  const { parts } = model;
  const open = parts.flatMap(({ requests }) => requests.filter(({ length }) => length > 1)).flat();
  const inOrder = Float64Array.from(open, (column) => reduced[column]!).sort();
  const most = Math.min(atLeast(COLUMNS_TRIED, parts.length), inOrder.length);
  const dearest = inOrder[most - 1] ?? 0;
  return parts.map(({ requests, configs }) => ({
    requests: requests.map((list) => {
      const columns = [...list].sort((a, b) => reduced[a]! - reduced[b]!);
      return { columns, tried: columns.filter((column) => reduced[column]! <= dearest) };
    }),
    configs: configs ?? [],
    triedConfigs: (configs ?? []).filter(({ column }) => reduced[column]! <= dearest),
  }));
}

function atLeast({ least, each }: { readonly least: number; readonly each: number }, parts: number): number {
  return Math.max(least, each * parts);
}

/** All of `items`, half of them and so on, and one. */
function portions(items: number): number[] {
  const found: number[] = [];
  for (let n = items; n > 1; n = n > 3 ? n >> 1 : 1) found.push(n);
  if (items > 0) found.push(1);
  return found;
}

/**
 * The changes by which copies of a group go from one layout to another. Members that come to stand alone take their cheapest column; where
 * fewer do, the dearest are given up.
 */
function relaid(
  { requests }: Searched,
  from: Layout,
  to: Layout,
  copies: number,
  counts: readonly number[],
): Change[] {
  const changes: Change[] = [
    [from.column, -copies],
    [to.column, copies],
  ];
  for (const [part, { columns }] of requests.entries()) {
    const more = copies * (to.alone[part]! - from.alone[part]!);
    if (more > 0) changes.push([columns[0]!, more]);
    for (let left = -more, place = columns.length - 1; left > 0; place--) {
      const column = columns[place]!;
      const items = Math.min(left, counts[column]!);
      if (items > 0) changes.push([column, -items]);
      left -= items;
    }
  }
  return changes;
}

/** What one unit of each limit counts at first where it is broken. */
function firstWeights({ model, costs, limitPrices }: SearchTask): number[] {
  const sumOf = (values: ArrayLike<number>) =>
    model.active.reduce((sum, column) => sum + Math.abs(values[column]!), 0);
  const all = sumOf(costs.columns);
  return model.limits.map(({ spends }, limit) =>
    Math.max(OVER_PRICE * limitPrices[limit]!, all / 2 / (sumOf(spends) || 1)),
  );
}

/** What the choice or the move looked at last comes to, what it is over the limits included. */
function scoreOf(choice: Choice): number {
  return choice.amounts[0]! + choice.overrun();
}

/** The move that comes to least; `isBarred` tells whether items may not come to a column, after its move was looked at. */
function bestMove(choice: Choice, parts: readonly Searched[], isBarred: (to: number) => boolean) {
  const { counts } = choice;
  let least = Number.POSITIVE_INFINITY;
  let chosen: Change[] | null = null;
  for (const part of parts) {
    for (const { columns, tried } of part.requests) {
      for (const from of columns) {
        for (const items of portions(counts[from]!)) {
          for (const to of tried) {
            if (to === from) continue;
            choice.lookAt(from, to, items);
            const score = scoreOf(choice);
            if (score >= least || isBarred(to)) continue;
            least = score;
            chosen = [
              [from, -items],
              [to, items],
            ];
          }
        }
      }
    }
    for (const from of part.configs) {
      for (const copies of portions(counts[from.column]!)) {
        for (const to of part.triedConfigs) {
          if (to === from) continue;
          const changes = relaid(part, from, to, copies, counts);
          choice.look(changes);
          const score = scoreOf(choice);
          if (score >= least || isBarred(to.column)) continue;
          least = score;
          chosen = changes;
        }
      }
    }
  }
  return chosen;
}

/**
 * Looks for a cheap choice that keeps all limits near a given one: the best move each time, also where it makes things worse, but not
 * back to what was just left (tabu search, Glover 1989; limits that are broken count for more and more, those that are kept for
 * less: strategic oscillation; both from memory). Null where none is met. Blocks are shared by two at most. The same task has the
 * same result, unless it is given up: nothing depends on the clock.
 *
 * @param start items of each column; limits may be broken
 * @param goesOn asked before each move; false: what is found is not needed any more
 */
export async function searchNear(
  task: SearchTask,
  start: readonly number[],
  goesOn: GoesOn,
): Promise<readonly number[] | null> {
  const { parts, pack } = task.model;
  const choice = new Choice(task.model, [task.costs], [...start]);
  const { counts, amounts, weights } = choice;
  weights.set(firstWeights(task));
  const searched = searchedParts(task);
  const until = new Int32Array(pack.columns.length);
  let best: readonly number[] | null = null;
  let value = Number.POSITIVE_INFINITY;
  let since = 0;
  const isBest = () => amounts[0]! < value - EPSILON && choice.keeps();
  const note = () => {
    since += 1;
    if (!isBest()) return;
    best = [...counts];
    value = amounts[0]!;
    since = 0;
  };
  note();
  const moves = atLeast(MOVES, parts.length);
  const pays = () => choice.looks < MOST_LOOKS && (best === null || since < IDLE);
  for (let turn = 1; turn <= moves && pays() && (await goesOn()); turn++) {
    const move = bestMove(choice, searched, (to) => until[to]! >= turn && !isBest());
    if (move === null) break;
    choice.make(move);
    until[move[0]![0]] = turn + TABU + (turn % SPREAD);
    note();
    weights.forEach((weight, limit) => {
      weights[limit] = weight * (choice.isOver(limit) ? PRESS.broken : PRESS.kept);
    });
  }
  return best;
}
