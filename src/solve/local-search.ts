import { OBJECTIVES, type PackProgram, spendingOf } from "../program/index.js";
import { Choice } from "./choice.js";
import { compareCosts } from "./compare-costs.js";
import { components } from "./components.js";
import { stageModel, weightedCosts } from "./stage-model.js";

/** Moves after which a search ends in any case. */
const MOST_MOVES = 400;

/** Times that budgets which stay overrun are made to count for more. */
const MOST_PRESSED = 8;

/** What a choice comes to: the overrun, then the objectives in the order in which they count. */
type Worth = Float64Array;

/** So many items from one column to another. */
interface Move {
  readonly from: number;
  readonly to: number;
  readonly items: number;
}

/** Sets `worth` to what the choice or the move looked at last comes to. */
function setWorth(worth: Worth, choice: Choice): void {
  worth[0] = choice.overrun();
  for (let o = 0; o < OBJECTIVES.length; o++) worth[o + 1] = choice.amounts[o]!;
}

/** Makes the budgets that are overrun as things stand count for more. */
function press(choice: Choice, now: Worth): void {
  choice.look([]);
  choice.weights.forEach((weight, budget) => {
    if (choice.isOver(budget)) choice.weights[budget] = 2 * weight;
  });
  setWorth(now, choice);
}

/** Moves of the instances that are in use, one of them or all that are alike. */
function* movesOf(columns: readonly number[], counts: readonly number[]): Generator<Move> {
  for (const from of columns) {
    const all = counts[from]!;
    if (all === 0) continue;
    for (const to of columns) {
      if (to === from) continue;
      yield { from, to, items: all };
      if (all > 1) yield { from, to, items: 1 };
    }
  }
}

/**
 * Moves instances of ungrouped requests from one candidate to another: as long as budgets are overrun, the move that costs fewest
 * weighted blocks for what it saves of the overrun, and where none saves any, those budgets count for more (guided local search,
 * Voudouris & Tsang 1999, from memory); then whatever improves the objectives. Returns the best choice found by `stopAt` (as `Date.now()`
 * gives it), which is no worse than `start`; an overrun may remain.
 */
export function improved(pack: PackProgram, start: readonly number[], stopAt: number): readonly number[] {
  const all = components(pack);
  const model = stageModel(
    {
      pack,
      objective: "blocks",
      settled: [],
      budgets: true,
      stopAt: Number.POSITIVE_INFINITY,
      pause: async () => {},
      cuts: [],
    },
    all,
  );
  const objectives = OBJECTIVES.map((objective) => weightedCosts(pack, [{ objective, weight: 1 }]));
  const choice = new Choice(model, objectives, [...start]);
  const { counts, weights } = choice;
  weights.set(pack.budgets.map(({ weight }) => weight));
  const after = ({ from, to, items }: Move) => {
    choice.lookAt(from, to, items);
    setWorth(then, choice);
  };
  const make = ({ from, to, items }: Move) => {
    choice.make([
      [from, -items],
      [to, items],
    ]);
    setWorth(now, choice);
  };
  const alone = all.filter(({ group }) => group === null);
  const lists = alone.map(({ requests }) => pack.columnsOf.requests[requests[0]!]!);
  const now = new Float64Array(OBJECTIVES.length + 1);
  const then = new Float64Array(OBJECTIVES.length + 1);
  setWorth(now, choice);
  let pressed = 0;
  for (let moves = 0; now[0]! > 0 && moves < MOST_MOVES && Date.now() < stopAt; moves++) {
    let best: Move | null = null;
    let score = Number.POSITIVE_INFINITY;
    for (const columns of lists) {
      for (const move of movesOf(columns, counts)) {
        after(move);
        if (then[0]! >= now[0]!) continue;
        const price = Math.max(0, then[1]! - now[1]!) / (now[0]! - then[0]!);
        if (price >= score) continue;
        score = price;
        best = move;
      }
    }
    if (best !== null) make(best);
    else if (pressed++ < MOST_PRESSED) press(choice, now);
    else break;
  }
  for (let open = lists.length, place = 0; open > 0 && Date.now() < stopAt; place++, open--) {
    const columns = lists[place % lists.length]!;
    let best: Move | null = null;
    for (const move of movesOf(columns, counts)) {
      after(move);
      if (compareCosts(then, now) >= 0) continue;
      best = move;
      now.set(then);
    }
    if (best === null) continue;
    make(best);
    open = lists.length + 1;
  }
  const worth = (choice: readonly number[]): Worth => {
    const { overrun, objectives } = spendingOf(pack, choice);
    return Float64Array.from([overrun, ...OBJECTIVES.map((objective) => objectives[objective])]);
  };
  return compareCosts(worth(start), worth(counts)) < 0 ? start : counts;
}
