import type { EditValue, MemoryEntry } from "../../../input/index.js";
import { type Device, multiplexer, portsName, readers } from "../../../model/index.js";
import { figure } from "../../../model/words.js";
import { type Change, change } from "../change.js";
import { freshName, type Subject } from "../subject.js";

/** Most bits of a part that is proposed for LUT memory. */
const MOST_LUT_BITS = 8192;
/** Cuts of one memory that are tried in each direction: those that leave the smallest rest. */
const CUTS = 3;

/** The places where a number of words or bits is a multiple of what a block has, those that leave least first. */
function cuts(whole: number, steps: readonly number[]): number[] {
  const places = steps.map((step) => Math.floor((whole - 1) / step) * step).filter((place) => place > 0);
  return [...new Set(places)].sort((a, b) => b - a).slice(0, CUTS);
}

function stepsOf(device: Device, side: "depth" | "width"): number[] {
  return device.blocks.flatMap(({ shapes }) =>
    Object.values(shapes).flatMap((list) => list.map((s) => s[side])),
  );
}

/** The entry of the second part: all keys of the memory but for its size. */
function partOf(
  memory: MemoryEntry,
  name: string,
  size: Pick<MemoryEntry, "depth" | "width">,
  home: string | null,
) {
  const { instances, lane, realisation, pump, initial } = memory;
  const place = home ?? memory.in;
  const optional: Readonly<Record<string, EditValue | undefined>> = {
    instances: instances === 1 ? undefined : instances,
    lane: lane === undefined ? undefined : Math.min(lane, size.width),
    read: memory.read === "sync" ? undefined : memory.read,
    clocks: memory.clocks === 1 ? undefined : memory.clocks,
    realisation: home === null ? realisation : undefined,
    in: place,
    pump: home === null ? pump : undefined,
    max_cascade: memory.max_cascade,
    initial,
  };
  const entry: Record<string, EditValue> = { name, ...size, ports: portsName(memory.ports) };
  for (const [key, value] of Object.entries(optional)) if (value !== undefined) entry[key] = value;
  return entry;
}

function splitAt(subject: Subject, memory: MemoryEntry, side: "depth" | "width", at: number): Change[] {
  const { device } = subject;
  const { name, depth, width, instances, ports } = memory;
  const rest = side === "depth" ? { depth: depth - at, width } : { depth, width: width - at };
  const homes: (string | null)[] = [];
  if (device.lutMemory !== null && rest.depth * rest.width <= MOST_LUT_BITS) homes.push("LUT");
  const layouts = subject.plan.memories.find((each) => each.name === name)?.layouts ?? [];
  const pools = device.pools.filter((pool) => layouts.every((layout) => layout.home !== pool.name));
  homes.push(...pools.map((pool) => pool.name));
  const mux = side === "depth" ? multiplexer(device.logic, 2).luts * width * readers(ports) * instances : 0;
  const noun = side === "depth" ? "words" : "bits of each word";
  return homes.map((home) => {
    const second = freshName(subject, `${name}_rest`);
    const words = home === "LUT" ? "in LUT memory" : `in ${home}`;
    return change({
      kind: "split",
      subject: name,
      title: `${name}: ${figure(at)} ${noun} as ${name}, the other ${figure(rest[side])} as ${second} ${words}`,
      edits: [
        { path: `${name}.${side}`, value: at },
        { list: "memories", entry: partOf(memory, second, rest, home), after: name },
      ],
      needs: side === "depth" ? ["a column multiplexer of 2 inputs, and an address decoder"] : [],
      extraLuts: mux,
    });
  });
}

/**
 * Memories written by hand in two parts, the second in another home than blocks of the first: across the words, with
 * a multiplexer that no plan counts, or across the bits, which needs none. Within one home packing cuts by itself.
 * Not proposed for members of groups, nor where the two sides differ in width.
 */
export function split(subject: Subject): readonly Change[] {
  return subject.entries.flatMap((entry) => {
    if (entry.list !== "memories" || entry.blocks === 0) return [];
    const { memory } = entry;
    const { depth, width, lane } = memory;
    const even = (memory.read_width ?? width) === (memory.write_width ?? width);
    if (memory.lockstep !== undefined || memory.exclusive !== undefined || !even) return [];
    const whole = (at: number) => lane === undefined || at % lane === 0;
    const widths = cuts(width, lane === undefined ? stepsOf(subject.device, "width") : [lane]).filter(whole);
    return [
      ...cuts(depth, stepsOf(subject.device, "depth")).flatMap((at) => splitAt(subject, memory, "depth", at)),
      ...widths.flatMap((at) => splitAt(subject, memory, "width", at)),
    ];
  });
}
