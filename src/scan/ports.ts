import type { PortCounts } from "../model/index.js";
import type { Read, Write } from "./accesses.js";
import type { ArrayFound } from "./array-found.js";
import { type Clock, clockOf } from "./clock.js";
import { isOwn, keepsOld } from "./lane.js";
import { conditionsOf, exclude, type Facts, type PathFacts } from "./path.js";
import type { Question } from "./question.js";
import { addressText, type ReadStyle, readStyle } from "./read-style.js";
import { constantOf } from "./reference.js";
import type { Signals } from "./signals.js";

/** The ports that an array needs, and how it is read. */
export interface PortsFound {
  readonly ports: PortCounts;
  readonly read: "sync" | "async";
  /** All clocks, each once. */
  readonly clocks: readonly Clock[];
  /** Words of the array that one access moves on each side. */
  readonly words: { readonly read: number; readonly write: number };
  /** True where each of several words that a write moves has an enable of its own. */
  readonly wordEnables: boolean;
  readonly questions: readonly Question[];
  /** Where more words are reached at once than ports could; null: nowhere. */
  readonly manyAt: number | null;
  /** True where every index is a constant: registers beside each other, no memory. */
  readonly constant: boolean;
  /** Where it is read without a clock; null: nowhere. */
  readonly asynchronousAt: number | null;
}

/** Accesses through one address: they can go through one port. */
interface Group {
  /** Clock's key, "" for none. */
  readonly clock: Clock | null;
  readonly address: string;
  readonly constant: boolean;
  /** Conditions of each access. */
  readonly facts: Facts[];
  /** Registers that reads fill, each with the conditions under which it is filled. */
  readonly registers: Map<string, string[]>;
  readonly at: number;
}

interface Port {
  readonly clock: Clock | null;
  readonly groups: Group[];
}

/** More addresses than this are judged by their first ones. */
const MOST_COMPARED = 48;
/** More ports than this, of reads or of writes, are no RAM's. */
const MOST_PORTS = { read: 16, write: 8 };

/** Works out the ports of an array from what is done to it. */
export function portsOf(
  array: ArrayFound,
  writes: readonly Write[],
  reads: readonly Read[],
  signals: Signals,
  facts: PathFacts,
): PortsFound {
  const questions: Question[] = [];
  const constant = (access: Read | Write) =>
    access.indexes.every((index) => constantOf(index, access.scope, signals.library) !== null);
  const writeGroups = groupsOf(
    writes.map((write) => {
      if (write.timing.sort === "latch" || write.timing.sort === "combinational") {
        const text = "the memory is written without a clock here; a clock is taken: is it a latch?";
        questions.push({ code: "clock", at: write.at, text });
      }
      const clock = clockOf(write.timing, write.scope, signals);
      const address = addressText(write.indexes, write.scope, signals);
      return {
        clock,
        address,
        register: null,
        constant: constant(write),
        facts: facts.of(write.path),
        at: write.at,
      };
    }),
  );
  const styles: { read: Read; style: ReadStyle }[] = [];
  for (const read of reads) {
    if (isKept(read, writes, signals)) continue;
    const style = readStyle(read, array, writes, signals);
    if (style.question !== null) questions.push(style.question);
    styles.push({ read, style });
  }
  const readGroups = groupsOf(
    styles.map(({ read, style }) => ({
      ...style,
      constant: constant(read),
      facts: facts.of(read.path),
      at: read.at,
    })),
  );
  const wide = { read: wideOf(readGroups), write: wideOf(writeGroups) };
  // The design form has no write of several words, each under an enable of its own, beside reads of fewer.
  if (wide.write.apart && wide.read.words < wide.write.words) {
    wide.write = { groups: writeGroups, words: 1, apart: false, partly: writeGroups[0]! };
  }
  const mixed = wide.read.partly ?? wide.write.partly;
  if (mixed !== null) {
    const text = `words side by side are reached together through ${mixed.address} here, and single ones elsewhere; each counts as a port: is it one port of a wider word?`;
    questions.push({ code: "ports", at: mixed.at, text });
  }
  const written = merged(wide.write.groups, false);
  const seen = merged(apartByRegister(wide.read.groups, questions), true);
  const asynchronous = styles.find(({ style }) => style.clock === null);
  if (asynchronous !== undefined && styles.some(({ style }) => style.clock !== null)) {
    const text =
      "this read is asynchronous and others are clocked; all count as asynchronous: is that meant?";
    questions.push({ code: "read-style", at: asynchronous.read.at, text });
  }
  const many = [written, seen].find(
    (side, i) => side.manyAt !== null || side.ports.length > (i === 0 ? MOST_PORTS.write : MOST_PORTS.read),
  );
  const paired = pair(written.ports, seen.ports);
  const clocks = new Map<string, Clock>();
  for (const { clock } of [...written.ports, ...seen.ports]) if (clock !== null) clocks.set(clock.key, clock);
  return {
    ports: {
      read: seen.ports.length - paired,
      write: written.ports.length - paired,
      readWrite: paired,
    },
    read: asynchronous === undefined ? "sync" : "async",
    clocks: [...clocks.values()],
    words: { read: wide.read.words, write: wide.write.words },
    wordEnables: wide.write.apart,
    questions,
    manyAt: many === undefined ? null : (many.manyAt ?? many.ports.at(-1)!.groups[0]!.at),
    constant:
      writes.length + styles.length > 0 &&
      writes.every(constant) &&
      styles.every(({ read }) => constant(read)),
    asynchronousAt: asynchronous?.read.at ?? null,
  };
}

/** True where a read only keeps bits of the word that is written: no port of its own. */
function isKept(read: Read, writes: readonly Write[], signals: Signals): boolean {
  const write = writes.find(({ step }) => step === read.within);
  if (write === undefined || !keepsOld(write, signals)) return false;
  const here = read.indexes.map((index) => signals.text(index, read.scope)).join();
  return (
    here === write.indexes.map((index) => signals.text(index, write.scope)).join() ||
    isOwn(write.value, write.scope, write, signals)
  );
}

interface Entry {
  readonly clock: Clock | null;
  readonly address: string;
  readonly register: string | null;
  readonly constant: boolean;
  readonly facts: Facts;
  readonly at: number;
}

function groupsOf(entries: readonly Entry[]): Group[] {
  const groups = new Map<string, Group>();
  for (const { clock, address, register, constant, facts, at } of entries) {
    const key = `${clock?.key ?? ""}|${address}`;
    let group = groups.get(key);
    if (group === undefined) {
      group = { clock, address, constant, facts: [], registers: new Map(), at };
      groups.set(key, group);
    }
    group.facts.push(facts);
    if (register !== null) {
      group.registers.set(register, [...(group.registers.get(register) ?? []), conditionsOf(facts)]);
    }
  }
  return [...groups.values()];
}

/** True where no access of one group happens in the same cycle as one of the other. */
function apart(one: Group, other: Group): boolean {
  return one.facts.every((a) => other.facts.every((b) => exclude(a, b)));
}

/** Groups that never meet go through one port with a multiplexed address; reads only where they fill one register. */
function merged(
  groups: readonly Group[],
  reading: boolean,
): { readonly ports: Port[]; readonly manyAt: number | null } {
  const ports: Port[] = [];
  const constants = groups.filter(({ constant }) => constant);
  // Many fixed words: registers, unless no two are ever reached together, as in a decoder written out.
  if (constants.length > MOST_COMPARED) {
    const first = constants.slice(0, MOST_COMPARED);
    const meet = first.some((a, i) => first.slice(i + 1).some((b) => !apart(a, b)));
    if (meet) return { ports: [{ clock: first[0]!.clock, groups: [first[0]!] }], manyAt: first[0]!.at };
    const rest = groups.filter(({ constant }) => !constant);
    ports.push({ clock: first[0]!.clock, groups: [first[0]!] });
    return { ports: [...ports, ...merged(rest, reading).ports], manyAt: null };
  }
  for (const group of groups) {
    const fits = ports.find(
      (port) =>
        port.clock?.key === group.clock?.key &&
        port.groups.every((other) => apart(group, other) && (!reading || sameRegisters(group, other))),
    );
    if (fits !== undefined) fits.groups.push(group);
    else ports.push({ clock: group.clock, groups: [group] });
  }
  const fixed = ports.filter((port) => port.groups.every(({ constant }) => constant));
  const manyAt = fixed.length > 4 ? fixed[0]!.groups[0]!.at : null;
  return { ports, manyAt };
}

function sameRegisters(one: Group, other: Group): boolean {
  const [a, b] = [one, other].map(({ registers }) => [...registers.keys()].join());
  return a === b;
}

/**
 * A port for each set of registers that one address fills under conditions of their own, since they may have to hold
 * different words; asked about.
 */
function apartByRegister(groups: readonly Group[], questions: Question[]): Group[] {
  return groups.flatMap((group) => {
    const { registers, clock, at } = group;
    if (registers.size < 2 || clock === null) return [group];
    const sets = new Map<string, Map<string, string[]>>();
    for (const [register, when] of registers) {
      const key = [...when].sort().join("|");
      sets.set(key, (sets.get(key) ?? new Map<string, string[]>()).set(register, when));
    }
    if (sets.size < 2) return [group];
    const names = [...registers.keys()].join(" and ");
    const text = `${names} are read through one address under different conditions; ${sets.size} read ports are counted: do they ever hold different words?`;
    questions.push({ code: "ports", at, text });
    return [...sets.values()].map((set) => ({ ...group, registers: set }));
  });
}

/** Write ports that have a read port with the same clock and the same addresses: pairs that one read-write port serves. */
function pair(writes: readonly Port[], reads: readonly Port[]): number {
  const addresses = ({ groups }: Port) =>
    groups
      .map(({ address }) => address)
      .sort()
      .join("|");
  const left = new Set(reads);
  let pairs = 0;
  for (const write of writes) {
    for (const read of left) {
      const clocks = read.clock === null || read.clock.key === write.clock?.key;
      if (!clocks || addresses(read) !== addresses(write)) continue;
      left.delete(read);
      pairs++;
      break;
    }
  }
  return pairs;
}

/** Groups of one side of a memory, those that reach words side by side made one. */
interface Wide {
  readonly groups: readonly Group[];
  /** Words that each group reaches. */
  readonly words: number;
  /** True where the words of a group have conditions of their own. */
  readonly apart: boolean;
  /** A group of several words beside groups of one, so that all were left as they are; null: none. */
  readonly partly: Group | null;
}

/**
 * Addresses `{a, 2'd0}` to `{a, 2'd3}` that are always reached together are one access of four words at `a`. All groups
 * have to be such, of one size; else each is an access of its own.
 */
function wideOf(groups: readonly Group[]): Wide {
  const sets = new Map<string, { group: Group; low: number }[]>();
  let single = 0;
  for (const group of groups) {
    const split = splitLow(group.address);
    if (split === null) {
      single++;
      continue;
    }
    const key = `${group.clock?.key ?? ""}|${split.prefix}`;
    const list = sets.get(key) ?? [];
    sets.set(key, list);
    list.push({ group, low: split.low });
  }
  const complete = [...sets.values()].filter(isComplete);
  const [first] = complete;
  if (first === undefined) return { groups, words: 1, apart: false, partly: null };
  const words = first.length;
  if (single > 0 || complete.length < sets.size || complete.some((set) => set.length !== words)) {
    return { groups, words: 1, apart: false, partly: first[0]!.group };
  }
  const made = complete.map((set): Group => {
    const { group } = set[0]!;
    const facts = set.flatMap((each) => each.group.facts);
    const registers = new Map(set.flatMap((each) => [...each.group.registers]));
    return { ...group, address: splitLow(group.address)!.prefix, facts, registers };
  });
  const own = complete.some(
    (set) => new Set(set.map(({ group }) => group.facts.map(conditionsOf).join("|"))).size > 1,
  );
  return { groups: made, words, apart: own, partly: null };
}

/** True for all words of a power of two, reached together. */
function isComplete(set: readonly { readonly group: Group; readonly low: number }[]): boolean {
  const { length } = set;
  if (length < 2 || (length & (length - 1)) !== 0) return false;
  const lows = new Set(set.map(({ low }) => low));
  if (lows.size !== length || Math.max(...lows) !== length - 1) return false;
  const first = set[0]!.group.facts[0]!;
  return set.every(({ group }) => group.facts.some((facts) => !exclude(facts, first)));
}

/** `{a,3}` as a and 3; `((a*4)+3)` as a and 3. */
function splitLow(address: string): { readonly prefix: string; readonly low: number } | null {
  const joined = /^\{(.+),(\d+)\}$/.exec(address);
  if (joined !== null) return { prefix: joined[1]!, low: Number(joined[2]) };
  const scaled = /^\(\((.+)\*\d+\)\+(\d+)\)$/.exec(address);
  return scaled === null ? null : { prefix: scaled[1]!, low: Number(scaled[2]) };
}
