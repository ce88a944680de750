import type { MemoryEntry } from "../../../input/index.js";
import { portsName } from "../../../model/index.js";
import type { CacheParameters } from "../../../structures/cache.js";
import { type Change, change } from "../change.js";
import { classesOf, groupingsOf, setsOf } from "../classes.js";
import { freshName, type Subject } from "../subject.js";

const DATA = {
  auto: "a data memory for each way, side by side where that takes less",
  "per-way": "a data memory for each way",
  joined: "its ways side by side in one data memory, with write lanes",
} as const;

function ofCache({ name, data, ways }: CacheParameters): Change[] {
  if (ways === 1) return [];
  return (["auto", "joined", "per-way"] as const)
    .filter((other) => other !== data)
    .map((other) =>
      change({
        kind: "join",
        subject: name,
        title: `${name}: ${DATA[other]}`,
        edits: [{ path: `${name}.data`, value: other }],
      }),
    );
}

function lockstepOf(subject: Subject, memories: readonly MemoryEntry[]): Change[] {
  const names = memories.map(({ name }) => name);
  const groupings = groupingsOf(memories, freshName(subject, `${names[0]}_side`));
  return groupings.map(({ value, whole }) =>
    change({
      kind: "join",
      subject: names[0]!,
      title: `${whole} side by side, with write lanes`,
      edits: names.map((name) => ({ path: `${name}.lockstep`, value })),
      effect: "behaviour",
      confirm: `${whole} see the same address in every cycle`,
    }),
  );
}

/**
 * Memories side by side: the ways of a cache's data, and memories written by hand that agree in depth, ports and clocks,
 * which the user has to confirm see one address.
 */
export function join(subject: Subject): readonly Change[] {
  const caches = subject.entries.flatMap((entry) =>
    entry.list === "structures" && entry.structure.kind === "cache" ? ofCache(entry.structure) : [],
  );
  const alone = (memory: MemoryEntry) =>
    memory.lockstep === undefined && memory.exclusive === undefined && memory.pump === undefined;
  const property = (m: MemoryEntry) => {
    const { depth, width, read_width = width, write_width = width } = m;
    return [depth, portsName(m.ports), m.clocks, m.read, read_width / width, write_width / width].join(" ");
  };
  const sets = classesOf(subject, alone, property).flatMap(setsOf);
  return [...caches, ...sets.flatMap((set) => lockstepOf(subject, set))];
}
