import { stepOf } from "./bound.js";
import {
  blocksOf,
  type Choice,
  countsOf,
  type Measure,
  measureOf,
  nothing,
  plus,
  unbeaten,
} from "./choice.js";
import { exactCost, totalsOf } from "./exact-cost.js";
import { EPSILON } from "./limits.js";
import { decisionsWithin } from "./part-decisions.js";
import { columnsWithin, type Priced } from "./prices.js";
import type { StageModel } from "./stage-model.js";

/** A solution with its value and what counts between solutions of that value. */
export interface Tied {
  readonly counts: readonly number[];
  readonly value: number;
  readonly tie: number;
}

/** How the labels ended: `closed` where nothing better than the incumbent is left (null: there is no solution). */
export interface LabelResult {
  readonly closed: boolean;
  readonly incumbent: Tied | null;
  /** A lower bound on the objective. */
  readonly bound: number;
}

/** Most labels of a layer, and most choices of a part: on the way to a good solution, and to prove the best. */
const NARROW = { labels: 60, choices: 40 };
const WIDE = { labels: 1500, choices: 300 };

/** Labels of a layer before those that others beat are left out. */
const MOST_MADE = 20_000;

/** Room above the bound in the first pass, as a share of the bound; each further pass has four times as much. */
const FIRST_ROOM = 0.0005;

/** Passes, at most. */
const MOST_PASSES = 12;

/** Narrow passes that had to drop labels, at most: the parts are then more than labels can tell apart. */
const MOST_SHORT = 2;

/** Solutions of a pass whose exact cost is worked out. */
const TRIED = 20;

/**
 * Dynamic programming over the parts of a stage: a label for each choice so far that no other beats in what it spends, and
 * that prices do not rule out. Of the share rows only some are tracked, which makes labels alike and the value a lower bound;
 * where the best of a pass breaks a row, that row is tracked from then on (decremental state space relaxation, Righini &
 * Salani 2008, from memory). Narrow passes find a good solution first. A wide pass that dropped no label proves a bound, and that there
 * is nothing better where a solution attains it.
 */
export async function labelSearch(model: StageModel, priced: Priced): Promise<LabelResult> {
  const { lagrangian } = priced;
  const step =
    stepOf([...Array.from(model.active, (column) => model.own[column]!), ...model.sharedCost]) || 1;
  let incumbent: Tied | null =
    priced.incumbent === null
      ? null
      : { ...priced.incumbent, tie: exactCost(model, totalsOf(model, priced.incumbent.counts)).tie };
  let bound = priced.bound;
  const tracked = new Set(model.rows.flatMap((_, r) => (priced.rowPrices[r]! > 1e-7 ? [r] : [])));
  model.sharedCost.forEach((_, key) => {
    const [first, end] = [model.firstRow[key]!, model.firstRow[key + 1]!];
    // The largest threshold: half a block a fragment.
    if (end > first) tracked.add(end - 1);
  });
  /** No solution this far above the bound is wanted: with a tie to break, those of the incumbent's own value are. */
  const most = () => {
    if (incumbent === null) return priced.ceiling - lagrangian;
    return incumbent.value - lagrangian - (model.tie === null ? step : 0);
  };
  const better = (a: Tied, b: Tied | null) =>
    b === null || a.value < b.value || (a.value === b.value && a.tie < b.tie);
  let room = Math.max(step, FIRST_ROOM * Math.abs(lagrangian));
  let width = NARROW;
  let short = 0;
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    if (Date.now() > model.task.stopAt) break;
    const slack = width === NARROW ? Math.min(room, most()) : most();
    if (slack < -EPSILON) return { closed: true, incumbent, bound };
    const { relaxed, found, complete } = await run(model, priced, slack + EPSILON, width, tracked);
    if (found !== null && better(found, incumbent)) incumbent = found;
    if (complete) {
      if (relaxed === null) {
        if (slack >= most() - EPSILON) {
          // With a tie to break, the incumbent itself lies within the room.
          if (model.tie !== null && incumbent !== null) break;
          return { closed: true, incumbent, bound: incumbent?.value ?? bound };
        }
        bound = Math.max(bound, Math.ceil(lagrangian + slack - EPSILON));
        room *= 4;
        continue;
      }
      bound = Math.max(bound, relaxed.value);
      if (incumbent !== null && !better(relaxed, incumbent)) return { closed: true, incumbent, bound };
      const before = tracked.size;
      for (const row of exactCost(model, totalsOf(model, relaxed.counts)).rows) tracked.add(row);
      if (tracked.size === before) break;
      continue;
    }
    if (width === WIDE || ++short > MOST_SHORT) break;
    if (incumbent !== null || slack >= most() - EPSILON) width = WIDE;
    else {
      if (relaxed !== null)
        for (const row of exactCost(model, totalsOf(model, relaxed.counts)).rows) tracked.add(row);
      room *= 4;
    }
  }
  return { closed: false, incumbent, bound };
}

interface Pass {
  /** The best choice as far as rows are tracked, within the room; null: none. */
  readonly relaxed: Tied | null;
  /** The best solution met; null: none. */
  readonly found: Tied | null;
  /** No label was dropped that might have led to a better choice. */
  readonly complete: boolean;
}

/** The limits that some choice of the columns could break, cuts apart, which follow from the others. */
function bindingLimits(model: StageModel, columns: ReadonlySet<number>): number[] {
  const { limits, parts, rows, start, row, halves } = model;
  const most = (spend: (column: number) => number) =>
    parts.reduce((sum, { items, requests, configs }) => {
      const tops = requests.map((list) =>
        list.reduce((top, column) => (columns.has(column) ? Math.max(top, spend(column)) : top), 0),
      );
      if (configs === null) return sum + items * tops[0]!;
      const top = configs.reduce((best, { column, alone }) => {
        if (!columns.has(column)) return best;
        return Math.max(
          best,
          alone.reduce((all, n, index) => all + n * tops[index]!, spend(column)),
        );
      }, 0);
      return sum + items * top;
    }, 0);
  /** Every fragment in a block of its own. */
  const blocks = model.sharedCost.map((_, key) => {
    const alone = (column: number) => {
      let top = 0;
      for (let e = start[column]!; e < start[column + 1]!; e++) {
        if (rows[row[e]!]!.key === key) top = Math.max(top, halves[e]!);
      }
      return top;
    };
    return Math.ceil(most(alone));
  });
  return limits.flatMap(({ spends, shared, limit, cut }, l) => {
    if (cut) return [];
    const top = blocks.reduce(
      (sum, n, key) => sum + n * shared[key]!,
      most((column) => spends[column]!),
    );
    return top > limit + EPSILON ? [l] : [];
  });
}

/** What the parts from each depth on spend at least of each limit, and ask for at least and at most in each row. */
interface Rest {
  readonly spends: readonly Float64Array[];
  readonly least: readonly Float64Array[];
  readonly most: readonly Float64Array[];
}

function restOf({ limits, rows }: Measure, lists: readonly (readonly Choice[])[]): Rest {
  const spends = [new Float64Array(limits.length)];
  const least = [new Float64Array(rows.length)];
  const most = [new Float64Array(rows.length)];
  for (let depth = lists.length - 1; depth >= 0; depth--) {
    const list = lists[depth]!;
    const extreme = (
      before: Float64Array,
      of: (choice: Choice, index: number) => number,
      pick: (a: number, b: number) => number,
    ) =>
      before.map((sum, index) => {
        let best = of(list[0]!, index);
        for (const choice of list) best = pick(best, of(choice, index));
        return sum + best;
      });
    const demandOf = ({ demand }: Choice, r: number) => (demand === null ? 0 : demand[r]!);
    spends.unshift(extreme(spends[0]!, (choice, l) => choice.spends[l]!, Math.min));
    const shares = list.some(({ demand }) => demand !== null);
    least.unshift(shares ? extreme(least[0]!, demandOf, Math.min) : least[0]!);
    most.unshift(shares ? extreme(most[0]!, demandOf, Math.max) : most[0]!);
  }
  return { spends, least, most };
}

async function run(
  model: StageModel,
  priced: Priced,
  slack: number,
  width: typeof WIDE,
  tracked: ReadonlySet<number>,
): Promise<Pass> {
  const { parts } = model;
  const target = priced.lagrangian + slack;
  const measure = measureOf(model, bindingLimits(model, columnsWithin(model, priced, target + 1)), tracked);
  const lists: Choice[][] = [];
  let complete = true;
  for (const part of parts) {
    await model.task.pause();
    if (Date.now() > model.task.stopAt) return { relaxed: null, found: null, complete: false };
    const list = decisionsWithin(measure, part, priced.costs, slack, width.choices);
    complete &&= list.complete;
    if (!complete && width === WIDE) return { relaxed: null, found: null, complete };
    if (list.choices.length === 0) return { relaxed: null, found: null, complete };
    lists.push(list.choices);
  }
  lists.sort((a, b) => rank(a) - rank(b) || (b[1]?.above ?? 0) - (a[1]?.above ?? 0));
  const rest = restOf(measure, lists);
  const { limits } = measure;
  const limitOf = limits.map((l) => model.limits[l]!.limit + EPSILON);
  const lastSharing = lists.findLastIndex((list) => list.some(({ demand }) => demand !== null));

  /** The choice with its shared blocks counted; null where they break a limit. */
  const settled = (choice: Choice, depth: number): Choice | null => {
    if (choice.demand === null) return choice;
    const spends = Float64Array.from(choice.spends);
    let { own } = choice;
    blocksOf(measure, choice.demand).forEach((blocks, key) => {
      own += blocks * model.sharedCost[key]!;
      for (let l = 0; l < spends.length; l++) {
        spends[l]! += blocks * model.limits[limits[l]!]!.shared[key]!;
      }
    });
    for (let l = 0; l < spends.length; l++) {
      if (spends[l]! + rest.spends[depth]![l]! > limitOf[l]!) return null;
    }
    return { ...choice, spends, own, demand: null };
  };

  let layer: Choice[] = [nothing(measure)];
  for (const [depth, list] of lists.entries()) {
    await model.task.pause();
    if (Date.now() > model.task.stopAt) return { relaxed: null, found: null, complete: false };
    let next: Choice[] = [];
    const floor = rest.spends[depth + 1]!;
    for (const label of layer) {
      if (next.length > MOST_MADE) {
        if (width === WIDE) return { relaxed: null, found: null, complete: false };
        complete = false;
        break;
      }
      for (const decision of list) {
        if (label.above + decision.above > slack) break;
        let fits = true;
        for (let l = 0; l < limits.length && fits; l++) {
          fits = label.spends[l]! + decision.spends[l]! + floor[l]! <= limitOf[l]!;
        }
        if (fits) next.push(plus(label, decision));
      }
    }
    if (depth === lastSharing) next = next.flatMap((label) => settled(label, depth + 1) ?? []);
    else if (depth < lastSharing) {
      next = next.filter((label) => {
        const blocks = raise(measure, label, rest.least[depth + 1]!, rest.most[depth + 1]!);
        for (let l = 0; l < limits.length; l++) {
          const { shared } = model.limits[limits[l]!]!;
          let spent = label.spends[l]! + floor[l]!;
          for (let key = 0; key < blocks.length; key++) spent += blocks[key]! * shared[key]!;
          if (spent > limitOf[l]!) return false;
        }
        return true;
      });
    }
    if (list.length > 1) next = unbeaten(measure, next);
    if (next.length > width.labels) {
      // A wide pass is there to prove something.
      if (width === WIDE) return { relaxed: null, found: null, complete: false };
      next.length = width.labels;
      complete = false;
    }
    layer = next;
  }
  const last = layer.filter(({ own }) => own <= target).sort((a, b) => a.own - b.own || a.tie - b.tie);
  const relaxed = last.length === 0 ? null : tiedOf(model, last[0]!);
  let found: Tied | null = null;
  for (const label of last.slice(0, TRIED)) {
    const { counts } = tiedOf(model, label);
    const { value, tie, fits } = exactCost(model, totalsOf(model, counts));
    if (!fits) continue;
    if (found === null || value < found.value || (value === found.value && tie < found.tie)) {
      found = { counts, value, tie };
    }
  }
  return { relaxed, found, complete };
}

function tiedOf(model: StageModel, choice: Choice): Tied {
  return { counts: countsOf(choice, model.pack.columns.length), value: choice.own, tie: choice.tie };
}

/** Parts without a choice first, then those that share blocks. */
function rank(list: readonly Choice[]): number {
  if (list.length < 2) return 0;
  return list.some(({ demand }) => demand !== null) ? 1 : 2;
}

/**
 * Raises the demand in rows that can no longer be the ones that count to the most that changes nothing, so that labels that
 * differ only there are alike.
 */
function raise(
  { firstRow, model: { sharedCost } }: Measure,
  { demand }: Choice,
  least: Float64Array,
  most: Float64Array,
): number[] {
  return sharedCost.map((_, key) => {
    let top = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
      top = Math.max(top, (demand === null ? 0 : demand[r]!) + least[r]!);
    }
    top = 2 * Math.ceil(top / 2);
    if (demand !== null) {
      for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) {
        demand[r] = Math.max(demand[r]!, top - most[r]!);
      }
    }
    return top / 2;
  });
}
