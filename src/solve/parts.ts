import type { PackProgram } from "../program/index.js";
import type { Component } from "./components.js";

/** A component's columns: those of its requests by part and of its stacks by sort, and the layouts of its group. */
export interface Part {
  readonly items: number;
  readonly requests: readonly (readonly number[])[];
  /** `alone`: how many of each of `requests` a layout takes. null: a request by itself. */
  readonly configs: readonly { readonly column: number; readonly alone: readonly number[] }[] | null;
}

/**
 * The parts of components: one for each, or for each member of a large exclusive group. `columns`: only these; null: all.
 */
export function partsOf(
  pack: PackProgram,
  components: readonly Component[],
  columns: ReadonlySet<number> | null = null,
): Part[] {
  const left = (list: readonly number[]) =>
    columns === null ? list : list.filter((column) => columns.has(column));
  return components.flatMap(({ requests, group }): Part[] => {
    const lists = requests.map((request) => left(pack.columnsOf.requests[request]!));
    if (group === null) {
      return [
        { items: pack.choices.requests[requests[0]!]!.request.instances, requests: lists, configs: null },
      ];
    }
    const own = left(pack.columnsOf.groups[group]!);
    const { members, copies, stacks } = pack.choices.groups[group]!;
    if (members.length > 0) {
      return members.map((_, place) => ({
        items: 1,
        requests: [
          own.filter((index) => {
            const column = pack.columns[index]!;
            return column.sort === "member" && column.place === place;
          }),
        ],
        configs: null,
      }));
    }
    stacks.forEach((_, stack) => {
      lists.push(
        own.filter((index) => {
          const column = pack.columns[index]!;
          return column.sort === "stack" && column.stack === stack;
        }),
      );
    });
    const configs = own.flatMap((index) => {
      const column = pack.columns[index]!;
      if (column.sort !== "group") return [];
      const alone = [...column.config.alone, ...column.config.stacks];
      const open = alone.every((members, part) => members === 0 || lists[part]!.length > 0);
      return open ? [{ column: index, alone }] : [];
    });
    return [{ items: copies, requests: lists, configs }];
  });
}

/** Whether there is a column, or a layout, for the items of a part. */
export function hasChoice({ requests, configs }: Part): boolean {
  return (configs ?? requests[0]!).length > 0;
}

/** The column of least cost; null where there is none. */
export function cheapest(list: readonly number[], costs: Float64Array): number | null {
  let best: number | null = null;
  for (const column of list) if (best === null || costs[column]! < costs[best]!) best = column;
  return best;
}

/** Price of the cheapest choice for every item of a part; adds the choice to `counts`, where these are given. */
export function settle(part: Part, costs: Float64Array, counts: number[] | null = null): number {
  const best = part.requests.map((list) => cheapest(list, costs));
  if (part.configs === null) {
    if (counts !== null) counts[best[0]!]! += part.items;
    return part.items * costs[best[0]!]!;
  }
  let winner: { column: number; alone: readonly number[]; price: number } | null = null;
  for (const config of part.configs) {
    const price = configPrice(config, best, costs);
    if (winner === null || price < winner.price) winner = { ...config, price };
  }
  if (counts === null) return part.items * winner!.price;
  counts[winner!.column]! += part.items;
  winner!.alone.forEach((members, index) => {
    if (members > 0) counts[best[index]!]! += members * part.items;
  });
  return part.items * winner!.price;
}

/** Cost of a layout with the cheapest choice for each member that it leaves alone. */
export function configPrice(
  { column, alone }: { readonly column: number; readonly alone: readonly number[] },
  best: readonly (number | null)[],
  costs: Float64Array,
): number {
  return alone.reduce((sum, members, index) => {
    if (members === 0) return sum;
    const own = best[index];
    return own === null || own === undefined ? Number.POSITIVE_INFINITY : sum + members * costs[own]!;
  }, costs[column]!);
}
