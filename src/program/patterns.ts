import { placeStack, type StackRule } from "../candidates/index.js";

/** Fragments that are alike in one stack key: rows, turns and owner. */
export interface FragmentType {
  readonly rows: number;
  readonly turns: readonly [a: number, b: number];
  readonly owner: string | null;
}

/** Fragment types, by index, that together take one block; a type may stand more than once. In rising order. */
export type Pattern = readonly number[];

/** What a block costs by its tenants, besides being a block; it never falls with their number. */
export type TenantCost = (tenants: number) => number;

/** Whether the given types, in whatever order, fit one block together: turns, owners and words. */
export function patternFits(rule: StackRule, types: readonly FragmentType[], pattern: Pattern): boolean {
  const chosen = pattern.map((index) => types[index]!);
  const used = [0, 1].map((port) => chosen.reduce((sum, { turns }) => sum + turns[port]!, 0));
  if (
    rule.joint ? used[0]! + used[1]! > rule.turns[0] : used.some((turns, port) => turns > rule.turns[port]!)
  ) {
    return false;
  }
  if (rule.distinctOwners && new Set(chosen.map(({ owner }) => owner)).size < chosen.length) return false;
  const rows = chosen.map((type) => type.rows);
  return placeStack(rows, rule.depth) !== null;
}

/**
 * Types by class, the largest of each first. Those of one class ask for the same turns and have the same owner: at the place of one in a block, any
 * with no more words may stand.
 */
export function classesOf(types: readonly FragmentType[]): number[][] {
  const classes = new Map<string, number[]>();
  for (const [index, { turns, owner }] of types.entries()) {
    const name = `${turns.join()} ${owner}`;
    const list = classes.get(name);
    if (list === undefined) classes.set(name, [index]);
    else list.push(index);
  }
  return [...classes.values()].map((list) => list.sort((a, b) => types[b]!.rows - types[a]!.rows));
}

/** The places that a pattern has for a class, the largest first. */
export function placesOf(list: readonly number[], pattern: Pattern): number[] {
  return list.flatMap((type) => pattern.filter((place) => place === type));
}

/** The next larger type of its class for each type that has one. */
export function nextLarger(classes: readonly (readonly number[])[]): ReadonlyMap<number, number> {
  return new Map(
    classes.flatMap((list) => list.slice(1).map((type, place) => [type, list[place]!] as const)),
  );
}

/** The patterns with one place of another for the next larger type of its class, whether they fit or not. */
export function withLarger(pattern: Pattern, larger: ReadonlyMap<number, number>): Pattern[] {
  return pattern.flatMap((type, place) => {
    const next = larger.get(type);
    // Of like places one stands for all.
    if (next === undefined || pattern[place - 1] === type) return [];
    return [pattern.with(place, next).sort((a, b) => a - b)];
  });
}

/**
 * The types that share a block with none, where a block holds two at most and any two others share one when their rows
 * fit in it. Null where that is not so: then there is more to know than rows.
 */
export function lonersAmongPairs(
  rule: StackRule,
  types: readonly FragmentType[],
): ReadonlySet<number> | null {
  const all = types.map((_, index) => index);
  const loners = new Set(all.filter((a) => !all.some((b) => patternFits(rule, types, [a, b]))));
  const others = all.filter((type) => !loners.has(type));
  for (const [at, a] of others.entries()) {
    for (const [step, b] of others.slice(at).entries()) {
      const fits = patternFits(rule, types, [a, b]);
      if (fits !== types[a]!.rows + types[b]!.rows <= rule.depth) return null;
      if (fits && others.slice(at + step).some((c) => patternFits(rule, types, [a, b, c]))) return null;
    }
  }
  return loners;
}

/**
 * All patterns to which no further type can be added for the same cost, and of which no place can be made larger: all that rows need which
 * let a place hold smaller types of its class. Null where more than `limit` can have nothing added: then they have to be made as they are needed.
 */
export function usefulPatterns(
  rule: StackRule,
  types: readonly FragmentType[],
  limit: number,
  cost: TenantCost,
): Pattern[] | null {
  const found: Pattern[] = [];
  const larger = nextLarger(classesOf(types));
  const budget = { steps: limit * 20, patterns: limit };
  const isOutdone = (pattern: Pattern) =>
    cost(pattern.length + 1) === cost(pattern.length) &&
    types.some((_, index) => patternFits(rule, types, [...pattern, index]));
  const grow = (pattern: Pattern, from: number): boolean => {
    budget.steps -= 1;
    if (budget.steps < 0 || budget.patterns < 0) return false;
    for (let index = from; index < types.length; index++) {
      const next = [...pattern, index];
      if (patternFits(rule, types, next) && !grow(next, index)) return false;
    }
    if (pattern.length === 0 || isOutdone(pattern)) return true;
    budget.patterns -= 1;
    if (!withLarger(pattern, larger).some((other) => patternFits(rule, types, other))) found.push(pattern);
    return true;
  };
  return grow([], 0) ? found : null;
}

/** Steps of the search for a best pattern after which it stops. */
const STEPS = 50_000;

/**
 * The pattern whose types are worth most together, less what a block of so many tenants costs, which may not fall with
 * their number. By depth-first search with the worth of the rows left as a bound; `sure` where the search came to its end.
 */
export function bestPattern(
  rule: StackRule,
  types: readonly FragmentType[],
  worth: readonly number[],
  cost: TenantCost = () => 0,
): { readonly pattern: Pattern; readonly worth: number; readonly sure: boolean } {
  const order = types.map((_, index) => index).filter((index) => worth[index]! > 1e-9);
  order.sort((a, b) => worth[b]! / types[b]!.rows - worth[a]! / types[a]!.rows);
  let best: { pattern: Pattern; worth: number } = { pattern: [], worth: 0 };
  let steps = STEPS;
  const grow = (pattern: readonly number[], value: number, from: number, rows: number) => {
    steps -= 1;
    const net = value - cost(pattern.length);
    if (net > best.worth + 1e-12) best = { pattern: [...pattern].sort((a, b) => a - b), worth: net };
    const next = cost(pattern.length + 1);
    for (let place = from; place < order.length && steps > 0; place++) {
      const index = order[place]!;
      // No type from here on is worth more a row, so the rows left bound what can be added.
      const bound = value + (worth[index]! / types[index]!.rows) * (rule.depth - rows) - next;
      if (bound <= best.worth + 1e-12) return;
      const wider = [...pattern, index];
      if (patternFits(rule, types, wider))
        grow(wider, value + worth[index]!, place, rows + types[index]!.rows);
    }
  };
  grow([], 0, 0, 0);
  return { ...best, sure: steps > 0 };
}

/** First-fit decreasing: each fragment into the first block with room. Returns patterns with how often each is used. */
export function firstFit(
  rule: StackRule,
  types: readonly FragmentType[],
  counts: readonly number[],
): { readonly pattern: Pattern; readonly count: number }[] {
  const order = types.map((_, index) => index).sort((a, b) => types[b]!.rows - types[a]!.rows);
  const left = [...counts];
  const used: { pattern: Pattern; count: number }[] = [];
  for (;;) {
    let pattern: number[] = [];
    let times = Number.POSITIVE_INFINITY;
    for (const index of order) {
      let inPattern = 0;
      while (left[index]! > inPattern) {
        const next = [...pattern, index];
        if (!patternFits(rule, types, next)) break;
        pattern = next;
        inPattern += 1;
      }
      if (inPattern > 0) times = Math.min(times, Math.floor(left[index]! / inPattern));
    }
    if (pattern.length === 0) return used;
    for (const index of pattern) left[index]! -= times;
    used.push({ pattern: pattern.sort((a, b) => a - b), count: times });
  }
}
