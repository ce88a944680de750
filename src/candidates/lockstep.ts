import type { GroupConfig } from "./group.js";
import { blockCandidates, type Setting } from "./memory-candidates.js";
import type { Part } from "./word.js";

/** Most requests of a lockstep group for which every subset is tried as the joined one. */
const SUBSET_LIMIT = 4;

function subsets(count: number): number[][] {
  if (count > SUBSET_LIMIT) {
    const all = Array.from({ length: count }, (_, index) => index);
    return [all, ...all.map((index) => [index])];
  }
  return Array.from({ length: 2 ** count - 1 }, (_, mask) =>
    Array.from({ length: count }, (_, index) => index).filter((index) => ((mask + 1) >> index) & 1),
  );
}

/**
 * Ways to lay out one copy of a lockstep group: a subset of its requests with all their members side by side as one
 * wider memory, the others alone. Laying a member in columns of its own is a tiling of the joined word too, so joining
 * all members of a request loses nothing against joining some.
 */
export function lockstepConfigs(setting: Setting, parts: readonly Part[]): GroupConfig[] {
  const alone = parts.map((part) => part.members);
  const configs: GroupConfig[] = [{ joined: null, alone, stackedParts: [], stacks: [] }];
  for (const subset of subsets(parts.length)) {
    const chosen = subset.map((index) => parts[index]!);
    if (chosen.reduce((sum, part) => sum + part.members, 0) < 2) continue;
    const lone = alone.map((members, index) => (subset.includes(index) ? 0 : members));
    for (const joined of blockCandidates(setting, chosen)) {
      configs.push({ joined, alone: lone, stackedParts: subset, stacks: [] });
    }
  }
  return configs;
}
