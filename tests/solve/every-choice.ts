import fc from "fast-check";
import type { Part } from "../../src/solve/parts.js";

/** All ways to take one of each list, as the columns that are taken. */
function product(lists: readonly (readonly (readonly number[])[])[]): number[][] {
  return lists.reduce<number[][]>(
    (found, list) => found.flatMap((taken) => list.map((each) => [...taken, ...each])),
    [[]],
  );
}

/** Every choice for some parts, by enumeration, as the columns that are taken. */
export function everyChoice(parts: readonly Part[]): number[][] {
  const each = (columns: readonly number[]) => columns.map((column) => [column]);
  return product(
    parts.map(({ items, requests, configs }) => {
      const single =
        configs === null
          ? each(requests[0]!)
          : configs.flatMap(({ column, alone }) =>
              product([
                [[column]],
                ...alone.flatMap((n, part) => Array.from({ length: n }, () => each(requests[part]!))),
              ]),
            );
      return product(Array.from({ length: items }, () => single));
    }),
  );
}

const part = fc.record({
  items: fc.integer({ min: 1, max: 2 }),
  lists: fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 1, maxLength: 2 }),
  layouts: fc.array(fc.integer({ min: 0, max: 2 }), { minLength: 0, maxLength: 2 }),
});

/** One to three parts, requests by themselves and groups with layouts, over columns that are numbered in turn. */
export const someParts = fc.array(part, { minLength: 1, maxLength: 3 }).map((shapes) => {
  let next = 0;
  const parts = shapes.map(({ items, lists, layouts }): Part => {
    const columns = (n: number) => Array.from({ length: n }, () => next++);
    if (layouts.length === 0) return { items, requests: [columns(lists[0]!)], configs: null };
    const requests = lists.map(columns);
    const alone = (n: number) => lists.map((_, place) => (place === 0 ? n : 1));
    return { items, requests, configs: layouts.map((n) => ({ column: next++, alone: alone(n) })) };
  });
  return { parts, columns: next };
});
