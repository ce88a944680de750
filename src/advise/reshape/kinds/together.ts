import { type Change, change } from "../change.js";
import type { Subject } from "../subject.js";

/**
 * Valid and dirty bits of caches in the word of the tag or in a memory of their own, and tags, state and replacement
 * bits free to lie with the rest. All of a set is read at once, so packing lays them side by side where that takes
 * less (a cache with a snoop port keeps its replacement bits apart).
 */
export function together({ entries }: Subject): readonly Change[] {
  return entries.flatMap((entry): Change[] => {
    if (entry.list === "memories" || entry.structure.kind !== "cache") return [];
    const { name, state, tag_in } = entry.structure;
    const other = state === "apart" ? "with-tag" : "apart";
    const words =
      other === "with-tag"
        ? "valid and dirty bits in the word of the tag"
        : "valid and dirty bits in a memory beside the tags";
    const moved = change({
      kind: "together",
      subject: name,
      title: `${name}: ${words}`,
      edits: [{ path: `${name}.state`, value: other }],
    });
    const freed = change({
      kind: "together",
      subject: name,
      title: `${name}: tags and state wherever the data may go`,
      edits: [{ path: `${name}.tag_in`, value: null }],
    });
    return tag_in === undefined ? [moved] : [moved, freed];
  });
}
