import { portTotal, type Realisation } from "../../../model/index.js";
import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

const WORDS: Readonly<Record<Realisation, string>> = {
  "one-copy": "one copy",
  replication: "a copy for each read port",
  "dual-port-replication": "copies that share the read-write port",
  "live-value-table": "a live-value table",
  "exclusive-or": "the exclusive-or scheme",
  pumped: "pumped blocks",
  "lut-memory": "LUT memory",
  registers: "registers",
};

/** Most bits of an instance that are proposed for LUT memory or registers. */
const MOST_BITS = { "lut-memory": 16_384, registers: 4_096 } as const;

function ofEntry(entry: Entry, { device }: Subject): Change[] {
  const { name, requests } = entry;
  const now = (entry.list === "memories" ? entry.memory : entry.structure).realisation;
  if (!requests.some(({ ports }) => portTotal(ports) > 2) && now === undefined) return [];
  const path = `${name}.realisation`;
  const free = change({
    kind: "realisation",
    subject: name,
    title: `${name}: its ports made in whatever way takes least`,
    edits: [{ path, value: null }],
  });
  const bits = Math.max(...requests.map(({ depth, width }) => depth * width));
  const pins = (["lut-memory", "registers"] as const)
    .filter(
      (pin) => pin !== now && bits <= MOST_BITS[pin] && (pin === "registers" || device.lutMemory !== null),
    )
    .map((pin) =>
      change({
        kind: "realisation",
        subject: name,
        title: `${name}: its ports made in ${WORDS[pin]}`,
        edits: [{ path, value: pin }],
      }),
    );
  return now === undefined ? pins : [free, ...pins];
}

/**
 * Other ways to make the ports of memories that have more than two, or whose way is pinned. Packing chooses freely among
 * those in blocks where none is pinned; memories deeper than it moves unasked go to LUT memory or registers.
 */
export function realisation(subject: Subject): readonly Change[] {
  return subject.entries.filter(({ blocks }) => blocks > 0).flatMap((entry) => ofEntry(entry, subject));
}
