import type { MemoryEntry } from "../../../input/index.js";
import { portsName } from "../../../model/index.js";
import { counted } from "../../../model/words.js";
import { type Change, change } from "../change.js";
import { classesOf, groupingsOf, setsOf } from "../classes.js";
import { freshName, type Subject } from "../subject.js";

/** Most members of a group that are proposed: the partitions of more take packing too long. */
const MOST_MEMBERS = 4;

function stacked(subject: Subject, memories: readonly MemoryEntry[]): Change[] {
  const names = memories.map(({ name }) => name);
  const groupings = groupingsOf(memories, freshName(subject, `${names[0]}_stack`));
  return groupings
    .filter(({ members }) => members <= MOST_MEMBERS)
    .map(({ value, whole, members }) =>
      change({
        kind: "stack",
        subject: names[0]!,
        title: `${whole} one above the other, behind one address`,
        edits: names.map((name) => ({ path: `${name}.exclusive`, value })),
        effect: "behaviour",
        needs: [`an address multiplexer of ${counted(members, "input")}`],
        confirm: `no two of ${whole} are accessed in one cycle`,
      }),
    );
}

/**
 * Memories written by hand that agree in ports, clocks and read style, stacked behind one port, which the user has to
 * confirm are never accessed together. Packing counts the address multiplexer.
 */
export function stack(subject: Subject): readonly Change[] {
  const alone = (memory: MemoryEntry) =>
    memory.lockstep === undefined && memory.exclusive === undefined && memory.pump === undefined;
  const property = (m: MemoryEntry) => [portsName(m.ports), m.clocks, m.read].join(" ");
  return classesOf(subject, alone, property)
    .flatMap(setsOf)
    .flatMap((set) => stacked(subject, set));
}
