import type { Fragment } from "../candidates/index.js";
import { lutsMatter } from "./luts.js";
import {
  type Column,
  columnCandidate,
  type Objective,
  ownerOf,
  type PackProgram,
  pairingExtent,
  type StackKey,
  sharedByTwo,
  typeIndex,
} from "./pack-program.js";
import { countedPlaces } from "./pair-rows.js";
import { classesOf } from "./patterns.js";
import { activeColumns, type Stage } from "./stage.js";

/** What one item of a column asks for in a stage. */
interface Asks {
  readonly column: number;
  /** What the stage minimises, and what it limits. */
  readonly costs: readonly number[];
  /** The fragments of each key, of those shared in turns each class apart: how large they are, from 1 on, the largest first. */
  readonly fragments: ReadonlyMap<string, readonly number[]>;
  /** The sizes of all fragments together. */
  readonly total: number;
}

/**
 * The columns of a stage that another one stands in for, each with that: a choice for the same that costs no more, and whose fragments find room
 * wherever those of the column do. No solution gets better with them. Of columns that are alike the first stands for all.
 *
 * @param kept columns that none stands in for whatever they cost, as those of a solution in hand
 */
export function outdoneColumns(
  pack: PackProgram,
  stage: Omit<Stage, "atLeast">,
  kept: ReadonlySet<number>,
): ReadonlyMap<number, number> {
  const asks = asksIn(pack, stage);
  const alike = new Map<string, Asks[]>();
  for (const each of asks) {
    const name = choiceOf(pack.columns[each.column]!);
    const list = alike.get(name);
    if (list === undefined) alike.set(name, [each]);
    else list.push(each);
  }
  const found = new Map<number, number>();
  for (const list of alike.values()) {
    // What stands in for a column costs no more, so that it is among those before it; of what is left there, nothing stands in for anything.
    const left: Asks[] = [];
    for (const each of list.sort(compare)) {
      const other = kept.has(each.column) ? undefined : left.find((other) => asksNoMore(other, each));
      if (other === undefined) left.push(each);
      else found.set(each.column, other.column);
    }
  }
  return found;
}

/** What tells columns between which there is a choice: owner, and for layouts of a group what is alone or stacked in them. */
function choiceOf(column: Column): string {
  if (column.sort !== "group") return ownerOf(column);
  const { alone, stacks } = column.config;
  return [ownerOf(column), alone.join(), stacks.join()].join(" / ");
}

function asksIn(pack: PackProgram, stage: Omit<Stage, "atLeast">): Asks[] {
  const { minimise, settled, budgets } = stage;
  const active = activeColumns(pack, stage);
  const luts = lutsMatter(pack, [...minimise, ...settled], budgets, active);
  const limited = budgets === "none" ? [] : pack.budgets.filter(({ sharedLuts }) => luts || !sharedLuts);
  const costOf = (objective: Objective | "overrun", column: number) =>
    objective === "overrun" ? 0 : pack.costs[objective][column]!;
  const sizeOf = sizesIn(pack, active);
  return active.map((column) => {
    const fragments = fragmentsOf(pack, pack.columns[column]!, sizeOf);
    return {
      column,
      costs: [
        minimise.reduce((sum, { objective, weight }) => sum + weight * costOf(objective, column), 0),
        ...settled.map(({ objective }) => costOf(objective, column)),
        ...limited.map(({ spends }) => spends[column]!),
      ],
      fragments,
      total: [...fragments.values()].flat().reduce((sum, size) => sum + size, 0),
    };
  });
}

/** How large a fragment of a key is: a number of which more means that more rows count it, or that fewer places have room for it. */
type SizeOf = (key: number, fragment: Fragment) => number;

function sizesIn(pack: PackProgram, active: readonly number[]): SizeOf {
  const { shareKeys, keyIndex, columns } = pack;
  const extents = shareKeys.map(() => new Set<number>());
  for (const column of active) {
    for (const fragment of columnCandidate(columns[column]!)?.fragments ?? []) {
      const key = keyIndex.get(fragment.shareKey)!;
      extents[key]!.add(pairingExtent(shareKeys[key]!, fragment));
    }
  }
  const counts = shareKeys.map((key, index) =>
    sharedByTwo(key) ? countedSizes([...extents[index]!], key.cells) : null,
  );
  const rooms = shareKeys.map((key) => (sharedByTwo(key) ? null : roomFor(key)));
  return (index, fragment) => {
    const key = shareKeys[index]!;
    return sharedByTwo(key)
      ? counts[index]!.get(pairingExtent(key, fragment))!
      : rooms[index]![typeIndex(key, fragment)]!;
  };
}

/** For each extent of a key that is shared by two, from how many places on fragments are counted that are no larger. */
function countedSizes(extents: readonly number[], cells: number): ReadonlyMap<number, number> {
  const falling = [...extents].sort((a, b) => b - a);
  const { counted } = countedPlaces(falling, cells);
  return new Map(
    falling.map((extent, place) => [extent, counted.length - counted.findIndex((each) => each >= place)]),
  );
}

/** The words of the smallest place that a pattern has for each type, by its index: between two types with the same place there is no difference. */
function roomFor(key: StackKey): number[] {
  const rooms = key.types.map(({ rows }) => rows);
  if (!key.complete) return rooms;
  const places = new Set(key.patterns.flat());
  for (const list of classesOf(key.types)) {
    let room: number | null = null;
    for (const type of list) {
      if (places.has(type)) room = key.types[type]!.rows;
      rooms[type] = room ?? key.types[type]!.rows;
    }
  }
  return rooms;
}

function fragmentsOf(
  { shareKeys, keyIndex }: PackProgram,
  column: Column,
  sizeOf: SizeOf,
): Asks["fragments"] {
  const found = new Map<string, number[]>();
  for (const fragment of columnCandidate(column)?.fragments ?? []) {
    const index = keyIndex.get(fragment.shareKey)!;
    const stack = sharedByTwo(shareKeys[index]!) ? null : fragment.stack!;
    const name = [index, stack?.turns.join(), stack?.owner].join(" / ");
    const size = sizeOf(index, fragment);
    const list = found.get(name);
    if (list === undefined) found.set(name, [size]);
    else list.push(size);
  }
  for (const list of found.values()) list.sort((a, b) => b - a);
  return found;
}

/** Cheaper first, then with less to place: no column after another asks for less than that does. */
function compare(a: Asks, b: Asks): number {
  for (const [at, cost] of a.costs.entries()) {
    if (cost !== b.costs[at]) return cost - b.costs[at]!;
  }
  return a.total - b.total || a.column - b.column;
}

function asksNoMore(a: Asks, b: Asks): boolean {
  if (a.costs.some((cost, at) => cost > b.costs[at]!)) return false;
  for (const [name, sizes] of a.fragments) {
    const others = b.fragments.get(name);
    if (others === undefined || sizes.some((size, at) => size > (others[at] ?? 0))) return false;
  }
  return true;
}
