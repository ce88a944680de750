import { type Plan, type PlanMemory, portsName } from "../../model/index.js";
import { counted, figure } from "../../report/text.js";

/** A figure before and after a change. */
export interface Change {
  readonly name: string;
  readonly before: number;
  readonly after: number;
}

/** A memory that takes other blocks than before, and why. */
export interface ChangedMemory extends Change {
  readonly why: string;
}

/** Blocks of a memory in all pools. */
export function blocksOf(memory: PlanMemory | undefined): number {
  return Object.values(memory?.blocks ?? {}).reduce((sum, blocks) => sum + blocks, 0);
}

/** What memories take, in words: `4 instances of 64 x 22, 1r1w`. */
export function geometry({ instances, depth, width, ports }: PlanMemory): string {
  const times = instances > 1 ? `${counted(instances, "instance")} of ` : "";
  return `${times}${figure(depth)} × ${figure(width)}, ${portsName(ports)}`;
}

function tiles(memory: PlanMemory): string {
  return memory.layouts
    .map(({ home, tiles: list }) =>
      list.length === 0 ? home : list.map(({ count, shape }) => `${count} × ${shape}`).join(" + "),
    )
    .join("; ");
}

function reason(before: PlanMemory | undefined, after: PlanMemory | undefined): string {
  if (before === undefined) return `new: ${geometry(after!)}`;
  if (after === undefined) return "gone";
  if (geometry(before) !== geometry(after)) return `${geometry(before)} → ${geometry(after)}`;
  if (before.lane !== after.lane) return `write lane ${before.lane ?? "none"} → ${after.lane ?? "none"}`;
  if (tiles(before) !== tiles(after))
    return `as large as before, laid out anew: ${tiles(before)} → ${tiles(after)}`;
  return "as before, in blocks that it shares with others";
}

/** Pools and logic whose use differs. */
export function changedTotals(before: Plan, after: Plan): Change[] {
  const pools = [...new Set([...Object.keys(before.totals.blocks), ...Object.keys(after.totals.blocks)])];
  const all = pools.map((name) => ({
    name,
    before: before.totals.blocks[name] ?? 0,
    after: after.totals.blocks[name] ?? 0,
  }));
  all.push({ name: "LUTs", before: before.totals.luts, after: after.totals.luts });
  all.push({ name: "registers", before: before.totals.registers, after: after.totals.registers });
  return all.filter((each) => each.before !== each.after);
}

/** Memories that changed: largest difference in blocks first. */
export function changedMemories(before: Plan, after: Plan): ChangedMemory[] {
  const names = [...new Set([...after.memories, ...before.memories].map(({ name }) => name))];
  return names
    .flatMap((name) => {
      const [was, is] = [before, after].map(({ memories }) =>
        memories.find((memory) => memory.name === name),
      );
      const same = was !== undefined && is !== undefined && geometry(was) === geometry(is);
      if (same && blocksOf(was) === blocksOf(is) && tiles(was) === tiles(is)) return [];
      return [{ name, before: blocksOf(was), after: blocksOf(is), why: reason(was, is) }];
    })
    .sort((a, b) => Math.abs(b.after - b.before) - Math.abs(a.after - a.before));
}
