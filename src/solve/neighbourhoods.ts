import { type IntegerProgram, objectiveValue, violatedRows } from "../program/integer-program.js";
import { solveWith } from "./engine.js";

/** Variables of choices that a neighbourhood leaves open at first, about, and how many times more after one without gain. */
const OPEN = { first: 300, growth: 1.1 };

/** Steps between a solution and the bound beyond which the search ends: it is then the bound that is far off. */
const NEAR = 10;

/** Neighbourhoods without gain, and neighbourhoods in all, after which the search ends. */
const MOST_IDLE = 4;
const MOST_TURNS = 8;

/** Parts of an item that are an engine's rounding error. */
const NOISE = 1e-6;

/** A solution of a program. */
export interface Found {
  readonly x: readonly number[];
  readonly value: number;
}

/** What is searched. */
export interface NeighbourhoodTask {
  readonly program: IntegerProgram;
  /** Variables that stand for one choice, list by list; those in no list follow from the choices. */
  readonly choices: readonly (readonly number[])[];
  /** A solution of the relaxation, the bound that its prices prove, and how much dearer every solution gets with each variable. */
  readonly relaxed: readonly number[];
  readonly reduced: { readonly bound: number; readonly prices: Float64Array };
  /** What values of the objective are multiples of. */
  readonly step: number;
  /** No solution is worth less. */
  readonly bound: number;
  /** The variables of choices in a solution in hand, by variable, the others at 0; null: none is. */
  readonly start: readonly number[] | null;
}

/**
 * Looks for a good solution near the relaxation (large neighbourhood search, Shaw 1998, from memory): the best with the variables
 * that the relaxation uses or that in hand, then, some choices at a time left open and the others kept, what is better, with highs.
 * Nothing is proved. Null where there is none to begin with. The same task has the same result unless the time runs out.
 */
export async function searchNeighbourhoods(
  task: NeighbourhoodTask,
  limits: { readonly stopAt: number; readonly signal?: AbortSignal | undefined },
): Promise<Found | null> {
  const { program, choices, relaxed, reduced, step, bound, start } = task;
  const { prices } = reduced;
  const chooses = new Set(choices.flat());
  const others = [...program.variables.keys()].filter((variable) => !chooses.has(variable));
  const inOrder = Float64Array.from(others, (variable) => prices[variable]!).sort();
  const dearest = Math.max(NOISE, inOrder[Math.min(inOrder.length, 2 * program.rows.length) - 1] ?? 0);
  const solve = async (open: readonly number[], kept: readonly number[], atMost: number | null) => {
    const { rest, constant } = around(program, open, kept);
    const outcome = await solveWith("highs", rest, {
      deadlineMs: Math.max(1, limits.stopAt - Date.now()),
      signal: limits.signal,
      ...(atMost === null ? {} : { incumbent: atMost - constant }),
    });
    if (outcome.status !== "optimal" && outcome.status !== "feasible") return null;
    const x = [...kept];
    for (const [place, variable] of open.entries()) x[variable] = outcome.x[place]!;
    return violatedRows(program, x).length > 0 ? null : { x, value: objectiveValue(program, x) };
  };
  const nothing = program.variables.map(() => 0);
  const support = [
    ...[...chooses].filter((variable) => relaxed[variable]! > NOISE),
    ...others.filter((variable) => prices[variable]! <= NOISE || relaxed[variable]! > NOISE),
  ];
  let best = await solve(support, nothing, null);
  const inHand = start === null ? null : await solve(others, start, best === null ? null : best.value - step);
  if (inHand !== null) best = inHand;
  const random = randomFrom(choices.length);
  let size = OPEN.first;
  for (let turn = 0, idle = 0; best !== null && turn < MOST_TURNS; turn++) {
    if (idle >= MOST_IDLE || best.value <= bound || best.value > bound + NEAR * step) break;
    if (Date.now() > limits.stopAt) break;
    const { x, value } = best;
    const above = value - step - reduced.bound + NOISE;
    const lists = choices
      .map((list) => list.filter((variable) => x[variable]! > 0 || prices[variable]! <= above))
      .filter(({ length }) => length > 1);
    const open = new Set<number>();
    // Every other time first those that are not as the relaxation has them (relaxation induced neighbourhoods, Danna et al. 2005).
    const unlike = (list: readonly number[]) =>
      turn % 2 === 0 && list.some((variable) => Math.abs(x[variable]! - relaxed[variable]!) > NOISE);
    const inTurn = shuffled(lists, random);
    let all = true;
    for (const list of [...inTurn.filter(unlike), ...inTurn.filter((each) => !unlike(each))]) {
      if (open.size === 0 || open.size + list.length <= size) for (const variable of list) open.add(variable);
      else all = false;
    }
    for (const variable of others) {
      if (x[variable]! > 0 || prices[variable]! <= Math.min(dearest, above)) open.add(variable);
    }
    const kept = x.map((count, variable) => (open.has(variable) ? 0 : count));
    const found = await solve([...open], kept, value - step);
    if (found !== null && found.value < value) {
      best = found;
      idle = 0;
    } else if (all) break;
    else {
      idle += 1;
      size *= OPEN.growth;
    }
  }
  return best;
}

/** The program of some variables, with the others as they are kept; `constant`: what those add to the objective. */
function around(program: IntegerProgram, open: readonly number[], kept: readonly number[]) {
  const placeOf = new Map(open.map((variable, place) => [variable, place]));
  const rows = program.rows.map(({ name, terms, lower, upper }) => {
    let held = 0;
    const left: { variable: number; coefficient: number }[] = [];
    for (const { variable, coefficient } of terms) {
      const place = placeOf.get(variable);
      if (place === undefined) held += coefficient * kept[variable]!;
      else left.push({ variable: place, coefficient });
    }
    return {
      name,
      terms: left,
      lower: lower === null ? null : lower - held,
      upper: upper === null ? null : upper - held,
    };
  });
  const rest: IntegerProgram = { variables: open.map((variable) => program.variables[variable]!), rows };
  return { rest, constant: objectiveValue(program, kept) };
}

/** Numbers from 0 to below 1, the same ones for the same seed (a linear congruential generator, from memory). */
function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

function shuffled<T>(list: readonly T[], random: () => number): T[] {
  const left = [...list];
  for (let last = left.length - 1; last > 0; last--) {
    const other = Math.floor(random() * (last + 1));
    [left[last], left[other]] = [left[other]!, left[last]!];
  }
  return left;
}
