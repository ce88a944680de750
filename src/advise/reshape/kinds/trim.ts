import { figure } from "../../../model/words.js";
import { type Change, change } from "../change.js";
import { type Dimension, dimensionsOf, valueAt } from "../dimension.js";
import type { Subject } from "../subject.js";

/** Fewest steps down that save a block; null where not even the most steps do. */
async function fewest(subject: Subject, dimension: Dimension, most: number): Promise<number | null> {
  const saves = async (steps: number) => {
    const value = valueAt(dimension, -steps);
    if (value === null) return false;
    const trial = await subject.packer(dimension.edits(value));
    return trial.status === "packed" && trial.figures.weightedBlocks < subject.figures.weightedBlocks;
  };
  if (!(await saves(most))) return null;
  let [not, does] = [0, most];
  while (does - not > 1) {
    const middle = Math.floor((not + does) / 2);
    if (await saves(middle)) does = middle;
    else not = middle;
  }
  return does;
}

/**
 * The least that can be taken from each number of each entry so that the whole design takes fewer blocks: from width,
 * depth, tags and counters up to a quarter, check bits and the like whole.
 */
export async function trim(subject: Subject): Promise<readonly Change[]> {
  const changes: Change[] = [];
  for (const entry of subject.entries.filter(({ blocks }) => blocks > 0)) {
    for (const dimension of dimensionsOf(entry, subject)) {
      const { from, step, least, noun, edits, trimmed } = dimension;
      if (least === null || step === "double" || !subject.open(trimmed, edits(from))) continue;
      const most = Math.floor((from - least) / step);
      const steps = most < 1 ? null : await fewest(subject, dimension, most);
      if (steps === null) continue;
      const value = valueAt(dimension, -steps)!;
      const title =
        value === 0
          ? `${entry.name}: without its ${figure(from)} ${noun}`
          : `${entry.name}: ${figure(from - value)} of ${figure(from)} ${noun} left out`;
      changes.push(
        change({ kind: "trim", subject: entry.name, title, edits: edits(value), effect: trimmed }),
      );
    }
  }
  return changes;
}
