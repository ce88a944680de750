import type { StackKey } from "./pack-program.js";
import {
  classesOf,
  nextLarger,
  type Pattern,
  patternFits,
  placesOf,
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

/**
 * The most that a block of a pattern can hold of so many fragments of each type: each place the largest that is left, of its type or a
 * smaller one of its class, the largest place first.
 */
function filled(pattern: Pattern, classes: readonly (readonly number[])[], most: readonly number[]): Pattern {
  const held: number[] = [];
  for (const list of classes) {
    const left = list.map((type) => most[type]!);
    for (const place of placesOf(list, pattern)) {
      const from = list.indexOf(place);
      const found = left.findIndex((count, index) => index >= from && count > 0);
      if (found < 0) continue;
      left[found]! -= 1;
      held.push(list[found]!);
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
  const larger = nextLarger(classes.map((list) => list.filter((type) => most[type]! > 0)));
  const isSmaller = (pattern: Pattern) =>
    withLarger(pattern, larger).some(
      (other) => patternFits(rule, types, other) && filled(other, classes, most).join() === other.join(),
    );
  return notOutdone([...found.values()], cost).filter((pattern) => !isSmaller(pattern));
}

/** How often a pattern is of use at most: more blocks of it than that would hold nothing of any class. */
export function mostOfPattern(
  pattern: Pattern,
  classes: readonly (readonly number[])[],
  most: readonly number[],
): number {
  return Math.max(
    ...classes.map((list) => {
      const places = placesOf(list, pattern);
      if (places.length === 0) return 0;
      const held = list.slice(list.indexOf(places[0]!));
      return Math.ceil(held.reduce((sum, type) => sum + most[type]!, 0) / places.length);
    }),
  );
}
