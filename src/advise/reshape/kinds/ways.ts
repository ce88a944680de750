import { sizeName } from "../../../model/index.js";
import { figure } from "../../../model/words.js";
import type { CacheParameters } from "../../../structures/cache.js";
import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

/** Most ways that are proposed; beyond, the comparators would be the larger cost. */
const MOST_WAYS = 32;

/** Powers of two from 1 up to a limit. */
function powers(most: number): number[] {
  return Array.from({ length: Math.floor(Math.log2(most)) + 1 }, (_, i) => 2 ** i);
}

function ofCache(p: CacheParameters): Change[] {
  const { name, ways, size, line, page, index } = p;
  const lines = size / line;
  return powers(MOST_WAYS)
    .filter((other) => other !== ways && Number.isInteger(Math.log2(lines / other)))
    .filter((other) => index === "physical" || size / other <= page)
    .map((other) => {
      const limit = index === "virtual" ? [`a way of ${sizeName(size / other)}, inside the page`] : [];
      return waysChange(name, ways, lines, other, limit);
    });
}

function waysChange(
  name: string,
  ways: number,
  entries: number,
  other: number,
  needs: readonly string[],
): Change {
  const shape = (w: number) => `${figure(w)} ${w === 1 ? "way" : "ways"} of ${figure(entries / w)} sets`;
  return change({
    kind: "ways",
    subject: name,
    title: `${name}: ${shape(other)} instead of ${shape(ways)}`,
    edits: [{ path: `${name}.ways`, value: other }],
    effect: "behaviour",
    needs,
  });
}

function ofEntry(entry: Entry): Change[] {
  if (entry.list === "memories") return [];
  const { structure } = entry;
  if (structure.kind === "cache") return ofCache(structure);
  if (structure.kind !== "tlb" && structure.kind !== "branch-target-buffer") return [];
  const { name, entries, ways } = structure;
  if (ways === "full") return [];
  return powers(MOST_WAYS)
    .filter((other) => other !== ways && Number.isInteger(Math.log2(entries / other)))
    .map((other) => waysChange(name, ways, entries, other, []));
}

/**
 * Other numbers of ways at the same capacity, of caches, TLBs and branch target buffers. A way of a cache with a
 * virtual index stays within a page (Hennessy & Patterson, Computer Architecture, appendix B.3).
 */
export function ways({ entries }: Subject): readonly Change[] {
  return entries.flatMap(ofEntry);
}
