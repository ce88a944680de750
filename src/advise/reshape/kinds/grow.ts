import { type Change, change } from "../change.js";
import { type Dimension, dimensionsOf, valueAt } from "../dimension.js";
import { reach } from "../reach.js";
import type { Subject } from "../subject.js";
import type { Figures } from "../trial.js";
import { stepText } from "../words.js";

/** Most steps that are looked at: values up to a thousand times as large, or 100,000 single steps. */
const MOST_STEPS = { double: 10, single: 100_000 };

/** True where a design takes no more of anything than before: of no pool, of no logic, and no deeper cascade. */
export function takesNoMore(after: Figures, before: Figures): boolean {
  const pools = Object.keys({ ...before.blocks, ...after.blocks });
  return (
    pools.every((pool) => (after.blocks[pool] ?? 0) <= (before.blocks[pool] ?? 0)) &&
    after.luts <= before.luts &&
    after.registers <= before.registers &&
    after.cascade <= before.cascade &&
    Object.keys(after.over).every((pool) => (after.over[pool] ?? 0) <= (before.over[pool] ?? 0))
  );
}

function changeTo(dimension: Dimension, value: number): Change {
  const { subject, from, noun, addressed, edits } = dimension;
  const bits = (count: number) => Math.ceil(Math.log2(Math.max(2, count)));
  const more = addressed ? bits(value) - bits(from) : 0;
  const needs = more > 0 ? [`${more} address ${more === 1 ? "bit" : "bits"} more (past a power of two)`] : [];
  const title = `${subject}: ${stepText(noun, from, value)} at no cost`;
  return change({ kind: "grow", subject, title, edits: edits(value), effect: "size", needs });
}

async function largest(subject: Subject, dimension: Dimension): Promise<Change | null> {
  const { packer, figures } = subject;
  const free = async (steps: number) => {
    const value = valueAt(dimension, steps);
    if (value === null) return false;
    const trial = await packer(dimension.edits(value));
    return (
      trial.status === "packed" &&
      trial.figures.capacityBits > figures.capacityBits &&
      takesNoMore(trial.figures, figures)
    );
  };
  const most = dimension.step === "double" ? MOST_STEPS.double : MOST_STEPS.single;
  const steps = await reach(free, most);
  return steps === 0 ? null : changeTo(dimension, valueAt(dimension, steps)!);
}

/**
 * How much larger each number of each entry may be while the whole design takes no more of anything. It relies on
 * larger memories never taking less: where a search for the plan stops at its deadline, a still larger one may be free.
 */
export async function grow(subject: Subject): Promise<readonly Change[]> {
  const changes: Change[] = [];
  for (const entry of subject.entries) {
    for (const dimension of dimensionsOf(entry, subject)) {
      if (!subject.open("size", dimension.edits(dimension.from))) continue;
      const found = await largest(subject, dimension);
      if (found !== null) changes.push(found);
    }
  }
  return changes;
}
