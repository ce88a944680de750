import type { Logic } from "./device.js";

/** Cost of a piece of logic on one bit: logic units and levels in series. */
export interface LogicCost {
  readonly luts: number;
  readonly levels: number;
}

function cheaper(a: LogicCost, b: LogicCost | null): boolean {
  return b === null || a.luts < b.luts || (a.luts === b.luts && a.levels < b.levels);
}

/**
 * Cost of an n:1 multiplexer of one bit, from the multiplexers that the device lists: the cheapest tree of them,
 * fewest LUTs first, then fewest levels. n <= 1 costs nothing. Throws RangeError where the device lists none.
 */
export function multiplexer(logic: Logic, n: number): LogicCost {
  if (n <= 1) return { luts: 0, levels: 0 };
  if (logic.multiplexers.length === 0) throw new RangeError("the device lists no multiplexer");
  let best: LogicCost | null = null;
  for (const mux of logic.multiplexers) {
    let tree: LogicCost = mux;
    if (n > mux.inputs) {
      const groups = Math.ceil(n / mux.inputs);
      const root = multiplexer(logic, groups);
      const rest = multiplexer(logic, n - (groups - 1) * mux.inputs);
      tree = { luts: (groups - 1) * mux.luts + rest.luts + root.luts, levels: mux.levels + root.levels };
    }
    if (cheaper(tree, best)) best = tree;
  }
  return best!;
}
