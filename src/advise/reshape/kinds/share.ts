import { type MemoryRequest, portsName } from "../../../model/index.js";
import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

/** Most memories that are paired: those that hold fewest blocks, since only what fills no block can share one. */
const PAIRED = 8;

function mayShare({ ports, clocks, lockstep, exclusive }: MemoryRequest): boolean {
  return portsName(ports) === "1r1w" && clocks === 1 && lockstep === null && exclusive === null;
}

/** True for an entry of memories whose ports it may state and that have one read and one write port. */
function isOpen(entry: Entry): boolean {
  const stated = entry.list === "memories" || entry.structure.kind === "scratchpad";
  return stated && entry.blocks > 0 && entry.requests.every(mayShare);
}

/**
 * Pairs of memories of one read and one write port with one read-write port each, so that both fit a true dual port
 * block. The user has to confirm that neither reads and writes in one cycle.
 */
export function share({ device, entries }: Subject): readonly Change[] {
  if (!device.blocks.some(({ shapes }) => shapes["true-dual"].length > 0)) return [];
  const smallest = entries.filter(isOpen).sort((a, b) => a.blocks - b.blocks);
  const paired = entries.filter((entry) => smallest.slice(0, PAIRED).includes(entry));
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
