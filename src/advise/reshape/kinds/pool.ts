import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

function ofEntry(entry: Entry, subject: Subject): Change[] {
  const { name } = entry;
  const pinned = (entry.list === "memories" ? entry.memory : entry.structure).in;
  const path = `${name}.in`;
  const names = new Set(entry.requests.map((request) => request.name));
  const layouts = subject.plan.memories.filter((memory) => names.has(memory.name)).flatMap((m) => m.layouts);
  const free = change({
    kind: "pool",
    subject: name,
    title: `${name}: in whatever home takes least`,
    edits: [{ path, value: null }],
  });
  const others = subject.device.pools
    .map((pool) => pool.name)
    .filter((pool) => layouts.some(({ home }) => home !== pool && home !== "LUT" && home !== "registers"))
    .map((pool) =>
      change({ kind: "pool", subject: name, title: `${name}: in ${pool}`, edits: [{ path, value: pool }] }),
    );
  return pinned === undefined ? others : [free, ...others];
}

/** Other block pools than the one that an entry is in, and no pin where it is pinned to a home. */
export function pool(subject: Subject): readonly Change[] {
  return subject.entries.filter(({ blocks }) => blocks > 0).flatMap((entry) => ofEntry(entry, subject));
}
