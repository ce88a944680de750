import type { StackKey } from "./pack-program.js";
import type { Pattern, TenantCost } from "./patterns.js";

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
 * The patterns of a key without places that no choice fills, and without those that another stands in for; where not all patterns are
 * in play, those in play. A place that stays empty would let the relaxation count a part of a block for what takes a block of its
 * own. `most`: the most fragments of each type.
 */
export function patternsInUse(key: StackKey, most: readonly number[], cost: TenantCost): readonly Pattern[] {
  if (!key.complete) return key.patterns;
  const found = new Map<string, Pattern>();
  for (const pattern of key.patterns) {
    // Like types stand together.
    const left = pattern.filter((type, place) => place - pattern.indexOf(type) < most[type]!);
    if (left.length > 0) found.set(left.join(), left);
  }
  return notOutdone([...found.values()], cost);
}

/** How often a pattern is of use at most: more blocks of it than that would hold none of any of its types. */
export function mostOfPattern(pattern: Pattern, most: readonly number[]): number {
  return Math.max(
    ...pattern.map((type) => Math.ceil(most[type]! / pattern.filter((other) => other === type).length)),
  );
}
