import type { IntegerProgram } from "../program/index.js";
import { solveRelaxation } from "./engine.js";
import { EPSILON } from "./limits.js";
import { settle } from "./parts.js";
import { columnPrices, type Incumbent, keyPrices, type Priced } from "./prices.js";
import type { StageModel } from "./stage-model.js";
import type { RunLimits } from "./worker-host.js";

interface Relaxed {
  readonly program: IntegerProgram;
  /** Rows of the program: that of each limit, then that of each share row; -1: none. */
  readonly limitRows: readonly number[];
  readonly shareRows: readonly number[];
}

/** The stage as a linear program: a variable a column and one for the shared blocks of each key. */
function relaxationOf(model: StageModel): Relaxed {
  const { active, own, limits, rows, start, row, halves, sharedCost, parts } = model;
  const variableOf = new Map([...active].map((column, variable) => [column, variable]));
  const firstShared = active.length;
  const variables = [
    ...[...active].map((column) => ({ name: `x${column}`, objective: own[column]!, upper: null })),
    ...sharedCost.map((objective, key) => ({ name: `z${key}`, objective, upper: null })),
  ];
  const program: IntegerProgram["rows"][number][] = [];
  for (const { items, requests, configs } of parts) {
    requests.forEach((list, index) => {
      const terms = list.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 }));
      for (const { column, alone } of configs ?? []) {
        if (alone[index]! > 0) terms.push({ variable: variableOf.get(column)!, coefficient: -alone[index]! });
      }
      const right = configs === null ? items : 0;
      program.push({ name: "items", terms, lower: right, upper: right });
    });
    if (configs === null) continue;
    const terms = configs.map(({ column }) => ({ variable: variableOf.get(column)!, coefficient: 1 }));
    program.push({ name: "copies", terms, lower: items, upper: items });
  }
  const shareRows = rows.map(({ key }) => {
    program.push({
      name: "shared",
      terms: [{ variable: firstShared + key, coefficient: 2 }],
      lower: 0,
      upper: null,
    });
    return program.length - 1;
  });
  for (const [variable, column] of active.entries()) {
    for (let e = start[column]!; e < start[column + 1]!; e++) {
      const at = program[shareRows[row[e]!]!]!;
      (at.terms as { variable: number; coefficient: number }[]).push({ variable, coefficient: -halves[e]! });
    }
  }
  const limitRows = limits.map(({ spends, shared, limit }) => {
    const terms = [
      ...[...active].map((column, variable) => ({ variable, coefficient: spends[column]! })),
      ...shared.map((units, key) => ({ variable: firstShared + key, coefficient: units })),
    ].filter(({ coefficient }) => coefficient !== 0);
    if (terms.length === 0) return -1;
    program.push({ name: "limit", terms, lower: null, upper: limit });
    return program.length - 1;
  });
  return { program: { variables, rows: program }, limitRows, shareRows };
}

/**
 * Prices from the duals of the relaxation, which no other prices beat. The bound is worked out from the prices, so that it
 * holds whatever the engine answers; null where it gives none.
 */
export async function relaxedPrices(
  model: StageModel,
  known: { readonly incumbent: Incumbent | null; readonly ceiling: number },
  run: RunLimits,
): Promise<Priced | null> {
  const { program, limitRows, shareRows } = relaxationOf(model);
  const relaxation = await solveRelaxation(program, run);
  if (relaxation.status !== "optimal" || relaxation.duals.length === 0) return null;
  const dual = (at: number) => (at < 0 ? 0 : Math.abs(relaxation.duals[at]!));
  return pricedBy(model, limitRows.map(dual), shareRows.map(dual), known);
}

/** The bound that prices of limits and of share rows (a half block each) give. */
function pricedBy(
  model: StageModel,
  prices: readonly number[],
  rowPrices: readonly number[],
  known: { readonly incumbent: Incumbent | null; readonly ceiling: number },
): Priced {
  const { firstRow, parts } = model;
  const mix = Float64Array.from(rowPrices);
  keyPrices(model, prices).forEach((price, key) => {
    let sum = 0;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) sum += 2 * mix[r]!;
    if (sum <= price) return;
    for (let r = firstRow[key]!; r < firstRow[key + 1]!; r++) mix[r]! *= price / sum;
  });
  const { costs, constant } = columnPrices(model, prices, mix);
  const lagrangian = parts.reduce((sum, part) => sum + settle(part, costs), constant);
  return { ...known, bound: Math.ceil(lagrangian - EPSILON), lagrangian, costs, constant, rowPrices: mix };
}
