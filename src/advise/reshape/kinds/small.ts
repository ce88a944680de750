import { type Device, portTotal } from "../../../model/index.js";
import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

/** Most bits of an instance that count as a small memory, by home. */
const SMALL = { LUT: 16_384, registers: 2_048 } as const;

function homesOf(device: Device, bits: number): ("LUT" | "registers")[] {
  if (device.lutMemory !== null) return bits <= SMALL.LUT ? ["LUT"] : [];
  return bits <= SMALL.registers ? ["registers"] : [];
}

const WORDS = { LUT: "LUT memory", registers: "registers" } as const;

function ofEntry(entry: Entry, { device }: Subject): Change[] {
  const { name, requests } = entry;
  const pinned = (entry.list === "memories" ? entry.memory : entry.structure).realisation !== undefined;
  // Pinned ways, and more than two ports, are told under realisations.
  if (pinned || requests.some(({ ports }) => portTotal(ports) > 2)) return [];
  const inPart = entry.list === "structures" && entry.structure.kind === "cache";
  const moved = inPart ? requests.filter(({ name: each }) => each !== `${name}.data`) : requests;
  const bits = Math.max(0, ...moved.map(({ depth, width }) => depth * width));
  return homesOf(device, bits).map((home) =>
    change({
      kind: "small",
      subject: name,
      title: `${name}: ${inPart ? "tags and state in " : "in "}${WORDS[home]}`,
      edits: [{ path: `${name}.${inPart ? "tag_in" : "in"}`, value: home }],
    }),
  );
}

/**
 * Small memories in LUT memory, or in registers where the device has none, although they are deeper than packing moves
 * unasked. Of caches only tags and state.
 */
export function small(subject: Subject): readonly Change[] {
  return subject.entries.filter(({ blocks }) => blocks > 0).flatMap((entry) => ofEntry(entry, subject));
}
