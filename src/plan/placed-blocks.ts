import { type BlockUse, type Fragment, placeStack } from "../candidates/index.js";
import type { PlanBlock, Tenant } from "../model/index.js";
import { type PackProgram, type Spending, type StackKey, typeIndex } from "../program/index.js";
import { alone, type Berth, secondOfTwo, TurnDesk, tenantsOf } from "./berth.js";
import { type Interval, type Run, takeFirst } from "./instance-runs.js";

/** A fragment of `count` items, waiting for a partner. */
interface Token extends Interval {
  readonly run: Run;
  readonly use: BlockUse;
  readonly fragment: Fragment;
}

/** Items of a token, the first of which is `first`, each in a block. */
interface Held {
  readonly token: Token;
  readonly first: number;
  readonly berth: Berth;
}

/** Told of so many blocks that hold the same. */
type Emit = (held: readonly Held[], count: number) => void;

/** Pairs fragments, the smallest with the largest that it fits beside: the fewest blocks with two in each. */
function pairTokens(tokens: readonly Token[], emit: Emit): void {
  const queue = [...tokens].sort((a, b) => a.fragment.extent - b.fragment.extent);
  let low = 0;
  let high = queue.length - 1;
  const taken = (token: Token, count: number, berth: (use: BlockUse) => Berth): Held => ({
    token,
    first: takeFirst(token, count),
    berth: berth(token.use),
  });
  while (low <= high) {
    const small = queue[low]!;
    const large = queue[high]!;
    const fits = small.fragment.extent + large.fragment.extent <= large.fragment.cells;
    const count = low === high ? Math.floor(large.count / 2) : Math.min(small.count, large.count);
    if (!fits || count === 0) {
      const rest = large.count;
      emit([taken(large, rest, alone)], rest);
      high -= 1;
      continue;
    }
    emit([taken(large, count, alone), taken(small, count, secondOfTwo)], count);
    if (small.count === 0) low += 1;
    if (large.count === 0) high -= 1;
  }
}

/** Fills blocks by the patterns of a stack key, from the tokens of each type in turn. */
function stackTokens(
  key: StackKey,
  tokens: readonly Token[],
  patterns: NonNullable<Spending["patterns"][number]>,
  emit: Emit,
): void {
  const queues = key.types.map((_, type) =>
    tokens.filter(({ fragment }) => typeIndex(key, fragment) === type),
  );
  for (const { pattern, count } of patterns) {
    const { places } = placeStack(
      pattern.map((type) => key.types[type]!.rows),
      key.rule.depth,
    )!;
    for (let left = count * key.times; left > 0; ) {
      // Two places of one type take two tokens, or two parts of one.
      const wanted = pattern.map((type) => pattern.filter((other) => other === type).length);
      const heads = pattern.map((type) => queues[type]![0]!);
      const times = pattern.reduce(
        (most, _, place) => Math.min(most, Math.floor(heads[place]!.count / wanted[place]!)),
        left,
      );
      const taken = pattern.map((type) => takeToken(queues[type]!, Math.max(1, times)));
      const step = times > 0 ? times : 1;
      const desk = new TurnDesk(taken[0]!.token.use.option.pump);
      const held = taken.map(({ token, first }, place) => ({
        token,
        first,
        berth: { ...desk.take(token.use), ...places[place]! },
      }));
      emit(held, step);
      left -= step;
    }
  }
}

function takeToken(queue: Token[], count: number): Pick<Held, "token" | "first"> {
  const token = queue[0]!;
  const first = takeFirst(token, count);
  if (token.count === 0) queue.shift();
  return { token, first };
}

/** The blocks of all runs, those that hold the same folded into one with `repeat`. */
export function blocksOf(pack: PackProgram, spending: Spending, runs: readonly Run[]): PlanBlock[] {
  const blocks: PlanBlock[] = [];
  const next = new Map<string, number>();
  const push = ({ option }: BlockUse, tenants: Tenant[], repeat: number) => {
    const kind = option.kind.name;
    const number = next.get(kind) ?? 1;
    next.set(kind, number + repeat);
    const { arrangement, pump } = option;
    blocks.push({ id: `${kind}-${number}`, kind, arrangement, pump, repeat, tenants });
  };
  const tokens = new Map<string, Token[]>();
  for (const run of runs) {
    for (const use of run.uses) {
      if (use.fragment === null) {
        push(use, tenantsOf(run, use, run.first, alone(use)), run.count);
        continue;
      }
      const list = tokens.get(use.fragment.shareKey) ?? [];
      list.push({ run, use, fragment: use.fragment, first: run.first, count: run.count });
      tokens.set(use.fragment.shareKey, list);
    }
  }
  const emit: Emit = (held, count) => {
    const tenants = held.flatMap(({ token, first, berth }) => tenantsOf(token.run, token.use, first, berth));
    push(held[0]!.token.use, tenants, count);
  };
  pack.shareKeys.forEach((key, index) => {
    const list = tokens.get(key.name);
    if (list === undefined) return;
    if (key.sort === "stack") stackTokens(key, list, spending.patterns[index]!, emit);
    else pairTokens(list, emit);
  });
  return blocks;
}
