import type { PortCounts } from "../model/index.js";
import { type Accesses, accessesOf, type Read, type Write } from "./accesses.js";
import { type ArrayFound, depthOf } from "./array-found.js";
import type { Clock } from "./clock.js";
import type { Elaborated } from "./elaborate.js";
import { laneOf } from "./lane.js";
import type { Library } from "./library.js";
import { PathFacts } from "./path.js";
import { portsOf } from "./ports.js";
import type { Question } from "./question.js";
import { constantOf } from "./reference.js";
import { Signals } from "./signals.js";

/** A memory as one module has it. */
export interface MemoryFound {
  /** Name seen from the module, with the numbers of generate blocks and banks. */
  readonly path: string;
  readonly depth: number;
  readonly width: number;
  readonly ports: PortCounts;
  readonly read: "sync" | "async";
  readonly lane: number | null;
  readonly clocks: readonly Clock[];
  readonly initial: boolean;
  /** Files that hold its first contents. */
  readonly files: readonly string[];
  /** Words that one access moves on each side. */
  readonly words: { readonly read: number; readonly write: number };
  /** True where only registers can serve all that reaches it at once. */
  readonly registers: boolean;
  /** True where it holds nothing: wires, or an array that is nowhere written nor read. */
  readonly sort: "memory" | "registers" | "wires";
  /** Why it is no memory, or what is odd about it, in words. */
  readonly remarks: readonly string[];
  readonly questions: readonly Question[];
  /** Where it is read without a clock; null: nowhere that is known. */
  readonly asynchronousAt: number | null;
  readonly at: number;
}

/** The memories of one module, with what is done to them. */
export function memoriesOf(module: Elaborated, library: Library): MemoryFound[] {
  if (module.arrays.length === 0) return [];
  const signals = new Signals(module, library);
  const facts = new PathFacts(library, (expr, scope) => signals.text(expr, scope));
  const accesses = accessesOf(signals);
  return module.arrays.flatMap((array) =>
    banksOf(array, accesses.get(array)!, library).map((bank) => memoryOf(bank, signals, facts)),
  );
}

interface Bank {
  readonly path: string;
  readonly array: ArrayFound;
  readonly depth: number;
  readonly accesses: Accesses;
}

/** Most banks that an array is split into. */
const MOST_BANKS = 256;

/** An array of several dimensions is a bank for each value of those whose index is always a constant. */
function banksOf(array: ArrayFound, accesses: Accesses, library: Library): Bank[] {
  const { extents } = array;
  const all: readonly (Read | Write)[] = [...accesses.writes, ...accesses.reads];
  const whole = [{ path: array.path, array, depth: depthOf(array), accesses }];
  if (extents.length < 2 || all.length === 0) return whole;
  const fixed = extents.map((_, i) =>
    all.every(({ indexes, scope }) => constantOf(indexes[i]!, scope, library) !== null),
  );
  if (fixed.every((is) => is) || !fixed.some((is) => is)) return whole;
  const banks = extents.reduce((count, { size }, i) => (fixed[i] ? count * size : count), 1);
  if (banks > MOST_BANKS) return whole;
  const keyOf = ({ indexes, scope }: Read | Write) =>
    indexes
      .filter((_, i) => fixed[i])
      .map((index) => `[${constantOf(index, scope, library)}]`)
      .join("");
  const keys = new Map<string, { writes: Write[]; reads: Read[] }>();
  const bankOf = (key: string) => {
    const made = keys.get(key) ?? { writes: [], reads: [] };
    keys.set(key, made);
    return made;
  };
  const moving = <T extends Read | Write>(access: T): T => ({
    ...access,
    bank: keyOf(access),
    indexes: access.indexes.filter((_, i) => !fixed[i]),
  });
  for (const write of accesses.writes) bankOf(keyOf(write)).writes.push(moving(write));
  for (const read of accesses.reads) bankOf(keyOf(read)).reads.push(moving(read));
  return [...keys].map(([key, { writes, reads }]) => ({
    path: array.path + key,
    array,
    depth: depthOf(array) / banks,
    accesses: { ...accesses, writes, reads },
  }));
}

function memoryOf({ path, array, depth, accesses }: Bank, signals: Signals, facts: PathFacts): MemoryFound {
  const { writes, reads, oddities, contents } = accesses;
  const found = portsOf(array, writes, reads, signals, facts);
  const lane = laneOf(writes, array.word.width, (write) => facts.of(write.path), signals);
  const questions: Question[] = [...accesses.questions, ...found.questions];
  if (lane.question !== null) questions.push(lane.question);
  const remarks: string[] = [];
  const hidden = oddities.some(({ what }) => what !== "whole");
  const used = { read: reads.length > 0 || hidden, written: writes.length > 0 || hidden };
  const { ports, sort } = settled(
    path,
    array,
    { ...accesses, found: found.ports, constant: found.constant },
    used,
    questions,
    remarks,
  );
  const whole = oddities.find(({ what }) => what === "whole");
  let registers = false;
  const many = found.manyAt ?? whole?.at ?? null;
  if (sort === "memory" && many !== null) {
    registers = true;
    const text =
      whole !== undefined && found.manyAt === null
        ? "the array is used as a whole here, which no RAM can do; it counts as registers: is that meant?"
        : "more of its words are reached in one cycle than a RAM has ports; it counts as registers: is that meant?";
    questions.push({ code: "many-words", at: many, text });
  }
  if (found.clocks.length > 2 && sort === "memory") {
    const names = found.clocks.map(({ signal }) => signal).join(", ");
    questions.push({
      code: "many-clocks",
      at: array.at,
      text: `it runs on ${found.clocks.length} clocks (${names}); two are taken: which are one?`,
    });
  }
  return {
    path,
    depth,
    width: array.word.width,
    ports,
    read: oddities.some(({ what }) => what === "routine-read") ? "async" : found.read,
    lane:
      ports.write + ports.readWrite === 0
        ? null
        : (lane.bits ?? (found.wordEnables ? array.word.width : null)),
    clocks: found.clocks,
    initial: contents.length > 0,
    files: [...new Set(contents.map(({ file }) => file).filter((file) => file !== null))],
    words: found.words,
    registers,
    sort,
    remarks,
    questions: unique(questions),
    asynchronousAt: found.asynchronousAt,
    at: array.at,
  };
}

/** Ports with safe values where some are hidden or missing, and whether it is a memory at all. */
function settled(
  path: string,
  array: ArrayFound,
  accesses: Accesses & { readonly found: PortCounts; readonly constant: boolean },
  used: { readonly read: boolean; readonly written: boolean },
  questions: Question[],
  remarks: string[],
): { readonly ports: PortCounts; readonly sort: MemoryFound["sort"] } {
  const { writes, oddities, contents, found, constant } = accesses;
  let { read, write } = found;
  const { readWrite } = found;
  const clocked = writes.some(({ timing }) => timing.sort === "clocked" || timing.sort === "latch");
  if (array.net || (writes.length > 0 && !clocked && contents.length === 0)) {
    remarks.push("only wires: no clock writes it");
    return { ports: found, sort: "wires" };
  }
  const hidden = { read: new Set<string>(), write: new Set<string>() };
  for (const { what, name, at } of oddities) {
    if (what === "whole") continue;
    const side = what === "routine-read" ? "read" : "write";
    if (hidden[side].has(name)) continue;
    hidden[side].add(name);
    const verb = side === "read" ? "read" : "written";
    const by =
      what === "instance-write" ? `through the port ${name} of an instance` : `in the routine ${name}`;
    const style = side === "read" ? "asynchronous read" : "write";
    const text = `it is ${verb} ${by}; one more ${style} port is counted: is it one of the others?`;
    questions.push({ code: "hidden-access", at, text });
  }
  read += hidden.read.size;
  write += hidden.write.size;
  if (constant && hidden.read.size + hidden.write.size === 0) {
    remarks.push("every index is a constant: registers beside each other");
    return { ports: found, sort: "registers" };
  }
  if (!used.written && contents.length === 0) {
    if (!used.read && oddities.length === 0) {
      remarks.push("never written and never read");
      return { ports: found, sort: "wires" };
    }
    questions.push({
      code: "unused",
      at: array.at,
      text: `nothing writes ${path}; it counts as a ROM: where does it get its contents?`,
    });
  }
  if (read + readWrite === 0) {
    read = 1;
    questions.push({
      code: "unused",
      at: array.at,
      text: `nothing reads ${path}; one read port is counted: is it needed?`,
    });
  }
  return { ports: { read, write, readWrite }, sort: "memory" };
}

function unique(questions: readonly Question[]): Question[] {
  const seen = new Set<string>();
  return questions.filter(({ at, text }) => {
    const key = `${at} ${text}`;
    return !seen.has(key) && seen.add(key);
  });
}
