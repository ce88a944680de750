import type { StackKey } from "./pack-program.js";
import {
  classOf,
  type FragmentType,
  nextLarger,
  type Pattern,
  patternFits,
  type TenantCost,
  withLarger,
} from "./patterns.js";

/**
 * The patterns that no other stands in for: one with all their places and more that costs no more. Of a program whose patterns
 * have to cover fragments, these are enough. Order is kept.
 */
export function notOutdone(patterns: readonly Pattern[], cost: TenantCost): Pattern[] {
  const outdone = new Set<string>();
  /** Marks what is left of a pattern without some of its places, as long as that costs as much. */
  const mark = (pattern: Pattern) => {
    if (cost(pattern.length - 1) < cost(pattern.length)) return;
    pattern.forEach((type, place) => {
      // Of like places the first stands for all.
      if (pattern[place - 1] === type) return;
      const rest = pattern.toSpliced(place, 1);
      const name = rest.join();
      if (rest.length === 0 || outdone.has(name)) return;
      outdone.add(name);
      mark(rest);
    });
  };
  for (const pattern of [...patterns].sort((a, b) => b.length - a.length)) {
    if (!outdone.has(pattern.join())) mark(pattern);
  }
  return patterns.filter((pattern) => !outdone.has(pattern.join()));
}

/** Types of one class, the largest first. */
export function classesOf(types: readonly FragmentType[]): number[][] {
  const classes = new Map<string, number[]>();
  for (const [index, type] of types.entries()) {
    const name = classOf(type);
    const list = classes.get(name);
    if (list === undefined) classes.set(name, [index]);
    else list.push(index);
  }
  return [...classes.values()].map((list) => list.sort((a, b) => types[b]!.rows - types[a]!.rows));
}

/**
 * The most that a block of a pattern can hold of so many fragments of each type: each place the largest that is left, of its type or a
 * smaller one of its class, the largest place first.
 */
function filled(pattern: Pattern, classes: readonly (readonly number[])[], most: readonly number[]): Pattern {
  const held: number[] = [];
  for (const types of classes) {
    const left = types.map((type) => most[type]!);
    // Types of a class stand in falling order, so that the first is the largest.
    for (const [from, type] of types.entries()) {
      for (const place of pattern) {
        if (place !== type) continue;
        const found = left.findIndex((count, index) => index >= from && count > 0);
        if (found < 0) continue;
        left[found]! -= 1;
        held.push(types[found]!);
      }
    }
  }
  return held.sort((a, b) => a - b);
}

/**
 * The patterns of a key with places only for what choices may bring, and without those that another stands in for; where not all patterns are
 * in play, those in play. A place that stays empty would let the relaxation count a part of a block for what takes a block of its
 * own. `most`: the most fragments of each type.
 */
export function patternsInUse(key: StackKey, most: readonly number[], cost: TenantCost): readonly Pattern[] {
  if (!key.complete) return key.patterns;
  const { rule, types } = key;
  const classes = classesOf(types);
  const found = new Map<string, Pattern>();
  for (const pattern of key.patterns) {
    const left = filled(pattern, classes, most);
    if (left.length > 0) found.set(left.join(), left);
  }
  const inUse = types.map((_, type) => most[type]! > 0);
  const larger = nextLarger(types.map((type, index) => (inUse[index] ? type : { ...type, rows: 0 })));
  const isSmaller = (pattern: Pattern) =>
    withLarger(pattern, larger).some(
      (other) => patternFits(rule, types, other) && filled(other, classes, most).join() === other.join(),
    );
  return notOutdone([...found.values()], cost).filter((pattern) => !isSmaller(pattern));
}

/** How often a pattern is of use at most: more blocks of it than that would hold nothing of any class. */
export function mostOfPattern({ types }: StackKey, pattern: Pattern, most: readonly number[]): number {
  return Math.max(
    ...classesOf(types).map((list) => {
      const places = pattern.filter((type) => list.includes(type));
      if (places.length === 0) return 0;
      const rows = Math.max(...places.map((type) => types[type]!.rows));
      const held = list.filter((type) => types[type]!.rows <= rows);
      return Math.ceil(held.reduce((sum, type) => sum + most[type]!, 0) / places.length);
    }),
  );
}
