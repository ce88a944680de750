import { mostOfOwners } from "./most-of-owners.js";
import {
  columnCandidate,
  fragmentTimes,
  type PackProgram,
  pairingExtent,
  type StackKey,
  sharedByTwo,
  typeIndex,
} from "./pack-program.js";
import type { Holder } from "./pair-rows.js";
import { fragmentsByKey } from "./share-rows.js";

/** A variable that counts items of a column, with the fragments of one key that an item brings. */
export interface KeyHolder extends Holder {
  /** Fragments of each type, by index; empty where the key is shared by two at most. */
  readonly types: ReadonlyMap<number, number>;
}

/** For each key the given columns that bring fragments of it; a column's variable is its place in the list. */
export function holdersByKey(pack: PackProgram, columns: readonly number[]): KeyHolder[][] {
  const found = pack.shareKeys.map((): KeyHolder[] => []);
  columns.forEach((index, variable) => {
    const column = pack.columns[index]!;
    for (const [name, fragments] of fragmentsByKey(columnCandidate(column)?.fragments ?? [])) {
      const at = pack.keyIndex.get(name)!;
      const key = pack.shareKeys[at]!;
      const types = new Map<number, number>();
      if (!sharedByTwo(key)) {
        for (const fragment of fragments) {
          const type = typeIndex(key, fragment);
          types.set(type, (types.get(type) ?? 0) + 1);
        }
      }
      const extents = fragments.map((fragment) => pairingExtent(key, fragment));
      found[at]!.push({ variable, extents, types, times: fragmentTimes(pack.choices, column, key) });
    }
  });
  return found;
}

/** The most fragments of each type of a key that any choice brings. */
export function mostOfTypes(
  pack: PackProgram,
  key: StackKey,
  columns: readonly number[],
  holders: readonly KeyHolder[],
): readonly number[] {
  return key.types.map((_, type) => {
    const brought = holders.flatMap(({ variable, types, times }) => {
      const count = types.get(type);
      return count === undefined ? [] : [{ column: columns[variable]!, each: times * count }];
    });
    return mostOfOwners(pack, brought);
  });
}
