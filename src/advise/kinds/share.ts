import type { MemoryEntry } from "../../input/index.js";
import { portsName } from "../../model/index.js";
import { type Change, change } from "../change.js";
import { classesOf } from "../classes.js";
import type { Subject } from "../subject.js";

/** Most memories that are paired: those that hold fewest blocks, since only what fills no block can share one. */
const PAIRED = 8;

/**
 * Pairs of memories of one read and one write port with one read-write port each, so that both fit a true dual port
 * block. The user has to confirm that neither reads and writes in one cycle.
 */
export function share(subject: Subject): readonly Change[] {
  const { device } = subject;
  if (!device.blocks.some(({ shapes }) => shapes["true-dual"].length > 0)) return [];
  const may = (m: MemoryEntry) =>
    portsName(m.ports) === "1r1w" && m.clocks === 1 && m.lockstep === undefined && m.exclusive === undefined;
  const smallest = classesOf(subject, may, () => "").flatMap((list) => list.slice(-PAIRED));
  const paired = subject.file.memories.filter((memory) => smallest.includes(memory));
  return paired.flatMap((a, i) =>
    paired.slice(i + 1).map((b): Change => {
      const [first, second] = [a.name, b.name];
      return change({
        kind: "share",
        subject: first,
        title: `${first} and ${second} with one read-write port each, so that they can share dual port blocks`,
        edits: [first, second].map((name) => ({ path: `${name}.ports`, value: "1rw" })),
        effect: "behaviour",
        confirm: `neither ${first} nor ${second} is read and written in one cycle`,
      });
    }),
  );
}
