import { columnCandidate, type FragmentCount, type PackProgram } from "../program/index.js";
import type { Component } from "./components.js";

/** One way to settle all items of a component: how many of each of its columns. */
export interface Decision {
  readonly counts: readonly { readonly column: number; readonly count: number }[];
  /** Fragments by key index; keys without fragments are left out. */
  readonly fragments: readonly { readonly key: number; readonly held: readonly FragmentCount[] }[];
}

/** Decisions of one component beyond which listing them is not worth it. */
const DECISION_LIMIT = 3000;

type Counts = ReadonlyMap<number, number>;

function added(a: Counts, b: Counts, times = 1): Map<number, number> {
  const sum = new Map(a);
  for (const [column, count] of b) sum.set(column, (sum.get(column) ?? 0) + count * times);
  return sum;
}

/** All ways to give `items` like items one of the options each; null where there are too many. */
function multisets(options: readonly Counts[], items: number): Counts[] | null {
  let partial: { counts: Counts; left: number }[] = [{ counts: new Map(), left: items }];
  for (const [index, option] of options.entries()) {
    const last = index === options.length - 1;
    const longer: { counts: Counts; left: number }[] = [];
    for (const { counts, left } of partial) {
      for (let taken = last ? left : 0; taken <= left; taken++) {
        longer.push({ counts: taken === 0 ? counts : added(counts, option, taken), left: left - taken });
        if (longer.length > DECISION_LIMIT) return null;
      }
    }
    partial = longer;
  }
  return partial.map(({ counts }) => counts);
}

function ofComponent(
  pack: PackProgram,
  { requests, group }: Component,
  columns: ReadonlySet<number>,
): Counts[] | null {
  const columnsOf = (request: number): Counts[] =>
    pack.columnsOf.requests[request]!.flatMap((index) => (columns.has(index) ? [new Map([[index, 1]])] : []));
  if (group === null) {
    const request = requests[0]!;
    return multisets(columnsOf(request), pack.choices.requests[request]!.request.instances);
  }
  if (pack.choices.groups[group]!.members.length > 0) return null;
  const options: Counts[] = [];
  for (const index of pack.columnsOf.groups[group]!) {
    const column = pack.columns[index]!;
    if (column.sort !== "group" || !columns.has(index)) continue;
    let partial: Counts[] = [new Map([[index, 1]])];
    for (const [part, members] of column.config.alone.entries()) {
      if (members === 0) continue;
      const own = multisets(columnsOf(requests[part]!), members);
      if (own === null || own.length * partial.length > DECISION_LIMIT) return null;
      partial = partial.flatMap((head) => own.map((tail) => added(head, tail)));
    }
    options.push(...partial);
  }
  return multisets(options, pack.choices.groups[group]!.copies);
}

/**
 * The decisions of each of the given components over some columns. Null where one has too many or is a large exclusive
 * group, or where blocks are shared in turns: those are not listed here.
 */
export function decisionsOf(
  pack: PackProgram,
  chosen: readonly Component[],
  columns: ReadonlySet<number>,
): Decision[][] | null {
  if (pack.shareKeys.some(({ sort }) => sort === "stack")) return null;
  const lists: Decision[][] = [];
  for (const component of chosen) {
    const found = ofComponent(pack, component, columns);
    if (found === null) return null;
    lists.push(
      found.map((counts) => {
        const held = new Map<number, Map<number, number>>();
        for (const [column, count] of counts) {
          for (const { shareKey, extent } of columnCandidate(pack.columns[column]!)?.fragments ?? []) {
            const key = pack.keyIndex.get(shareKey)!;
            const extents = held.get(key) ?? new Map<number, number>();
            extents.set(extent, (extents.get(extent) ?? 0) + count);
            held.set(key, extents);
          }
        }
        return {
          counts: [...counts].map(([column, count]) => ({ column, count })),
          fragments: [...held].map(([key, extents]) => ({
            key,
            held: [...extents].map(([extent, count]) => ({ extent, count })),
          })),
        };
      }),
    );
  }
  return lists;
}
