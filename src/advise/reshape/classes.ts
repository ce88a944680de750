import type { EditValue, MemoryEntry } from "../../input/index.js";
import { listed } from "../../model/words.js";
import type { Subject } from "./subject.js";

/** Most memories of one class that are tried in pairs: those that hold most blocks. */
const PAIRED = 8;

/** A memory written by hand and the blocks that it holds. */
interface Held {
  readonly memory: MemoryEntry;
  readonly blocks: number;
}

/** Memories written by hand that agree in a property, those of each value together. */
export function classesOf(
  subject: Subject,
  may: (memory: MemoryEntry) => boolean,
  property: (memory: MemoryEntry) => string,
): MemoryEntry[][] {
  const classes = new Map<string, Held[]>();
  for (const entry of subject.entries) {
    if (entry.list !== "memories" || !may(entry.memory)) continue;
    const key = property(entry.memory);
    classes.set(key, [...(classes.get(key) ?? []), { memory: entry.memory, blocks: entry.blocks }]);
  }
  return [...classes.values()].map((list) =>
    list.toSorted((a, b) => b.blocks - a.blocks).map(({ memory }) => memory),
  );
}

/**
 * The sets of memories of a class that are tried together: each that has several instances by itself, pairs of those
 * that hold most, and all of them.
 */
export function setsOf(memories: readonly MemoryEntry[]): MemoryEntry[][] {
  const several = memories.filter(({ instances }) => instances > 1).map((memory) => [memory]);
  const first = memories.slice(0, PAIRED);
  const pairs = first.flatMap((a, i) => first.slice(i + 1).map((b) => [a, b]));
  return [...several, ...pairs, ...(memories.length > 2 ? [[...memories]] : [])];
}

/** A way to make a group of memories: what the group's key says, who is meant in words, and how many are in one copy. */
export interface Grouping {
  readonly value: EditValue;
  readonly whole: string;
  readonly members: number;
}

/**
 * The groups that a set of memories can make: all instances of all of them in one, and, where each has as many instances,
 * a group of one instance of each for every instance.
 */
export function groupingsOf(memories: readonly MemoryEntry[], group: string): Grouping[] {
  const names = memories.map(({ name }) => name);
  const counts = memories.map(({ instances }) => instances);
  const several = counts.some((count) => count > 1);
  const all = several ? `all instances of ${listed(names)}` : listed(names);
  const groupings: Grouping[] = [
    { value: group, whole: all, members: counts.reduce((sum, count) => sum + count, 0) },
  ];
  if (several && names.length > 1 && new Set(counts).size === 1) {
    const value = { group, members: 1 };
    groupings.push({ value, whole: `each instance of ${listed(names)}`, members: names.length });
  }
  return groupings;
}
