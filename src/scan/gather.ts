import { MAX_DEPTH, MAX_INSTANCES, MAX_NAME, MAX_WIDTH } from "../input/index.js";
import { type PortCounts, portsName } from "../model/index.js";
import { counted, figure } from "../model/words.js";
import type { Elaborated } from "./elaborate.js";
import { foreignAccesses } from "./foreign.js";
import { Hierarchy } from "./hierarchy.js";
import type { Library } from "./library.js";
import { type MemoryFound, memoriesOf } from "./memories.js";
import type { Question } from "./question.js";
import type { FilePlace, ScanMemory, ScanQuestion, ScanUnsized } from "./result.js";

/** What the hierarchy under a module holds, alike memories counted together. */
export interface Gathered {
  readonly memories: readonly ScanMemory[];
  readonly registers: readonly ScanMemory[];
  readonly wires: readonly ScanMemory[];
  readonly unsized: readonly ScanUnsized[];
  readonly questions: readonly ScanQuestion[];
}

interface Entry {
  readonly module: Elaborated;
  readonly found: MemoryFound;
  readonly array: string;
  readonly clocks: 1 | 2;
  readonly path: string;
  instances: number;
  questions: readonly Question[];
}

/** Gathers all memories under `top`. `placeOf` gives the file, line and column of an offset. */
export function gather(
  top: Elaborated,
  library: Library,
  registersBelow: number,
  placeOf: (at: number) => FilePlace,
): Gathered {
  const hierarchy = new Hierarchy(top, library);
  const entries = new Map<string, Entry>();
  const unsized = new Map<
    string,
    Omit<ScanUnsized, "questions"> & { question: Question; instances: number }
  >();
  const general: Question[] = [];
  const modules = hierarchy.modules();
  const arrays = new Set(
    modules.flatMap((module) => module.arrays.map(({ path }) => path.slice(path.lastIndexOf(".") + 1))),
  );
  for (const module of modules) {
    const count = hierarchy.countOf(module);
    general.push(...module.questions, ...foreignAccesses(module, arrays, library));
    for (const found of memoriesIn(module, library, general)) {
      const array = plainPath(found.path);
      for (const [distinct, instances] of hierarchy.clocksOf(module, found.clocks)) {
        const clocks = distinct > 1 && portTotal(found) > 1 ? 2 : 1;
        const settled =
          distinct > 2
            ? found
            : { ...found, questions: found.questions.filter(({ code }) => code !== "many-clocks") };
        const key = keyOf(module, settled, array, clocks);
        const entry = entries.get(key);
        if (entry !== undefined) {
          entry.instances += instances;
          entry.questions = joined(entry.questions, settled.questions);
        } else {
          const path = `${hierarchy.pathOf(module)}.${found.path}`;
          const { questions } = settled;
          entries.set(key, { module, found: settled, array, clocks, path, instances, questions });
        }
      }
    }
    for (const { path, question } of module.unsized) {
      const array = plainPath(path);
      const key = `${module.text.name} ${array} ${question.at}`;
      const known = unsized.get(key);
      if (known !== undefined) known.instances += count;
      else
        unsized.set(key, {
          module: module.text.name,
          array,
          instances: count,
          question,
          ...placeOf(question.at),
        });
    }
  }
  return named([...entries.values()], [...unsized.values()], general, registersBelow, placeOf);
}

/** The memories of a module; asks where its text is nested too deep for the stack of calls. */
function memoriesIn(module: Elaborated, library: Library, general: Question[]): MemoryFound[] {
  try {
    return memoriesOf(module, library);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const text = `something in ${module.text.name} is nested too deep to be followed; its memories are left out: which are there?`;
    general.push({ code: "hidden-access", at: module.text.at, text });
    return [];
  }
}

function portTotal({ ports }: MemoryFound): number {
  return ports.read + ports.write + ports.readWrite;
}

/** A path without the numbers of generate blocks and banks. */
function plainPath(path: string): string {
  return path.replace(/\[-?\d+\]/g, "");
}

/** Equal for memories that one entry of a design file can stand for, whatever lines their questions are about. */
function keyOf(module: Elaborated, found: MemoryFound, array: string, clocks: number): string {
  const { path: _path, clocks: _clocks, asynchronousAt: _at, questions, ...rest } = found;
  const codes = [...new Set(questions.map(({ code }) => code))].sort();
  return JSON.stringify([module.text.name, array, clocks, codes, rest]);
}

/** Questions of both, each once. */
function joined(some: readonly Question[], more: readonly Question[]): readonly Question[] {
  const known = new Set(some.map(({ at, text }) => `${at} ${text}`));
  const fresh = more.filter(({ at, text }) => !known.has(`${at} ${text}`));
  return fresh.length === 0 ? some : [...some, ...fresh];
}

function named(
  entries: readonly Entry[],
  unsized: (Omit<ScanUnsized, "questions"> & { question: Question })[],
  general: readonly Question[],
  registersBelow: number,
  placeOf: (at: number) => FilePlace,
): Gathered {
  const questions: ScanQuestion[] = [];
  const ask = ({ code, at, text }: Question, memory: string | null): number => {
    const number = questions.length + 1;
    questions.push({ number, code, text, memory, ...placeOf(at) });
    return number;
  };
  const told = new Set<string>();
  for (const question of general) {
    const key = `${question.at} ${question.text}`;
    if (told.has(key)) continue;
    told.add(key);
    ask(question, null);
  }
  const names = nameAll(entries);
  const memories: ScanMemory[] = [];
  const registers: ScanMemory[] = [];
  const wires: ScanMemory[] = [];
  entries.forEach((entry, i) => {
    const { found, module, clocks, instances, path, array } = entry;
    const name = names[i]!;
    if (beyondLimits(entry)) {
      const text = `it has ${counted(found.depth, "word")} of ${counted(found.width, "bit")}, ${figure(instances)} times, more than a design file may state; it is left out: is that meant?`;
      const question: Question = { code: "not-constant", at: found.at, text };
      unsized.push({ module: module.text.name, array, instances, question, ...placeOf(found.at) });
      return;
    }
    const small = found.depth * found.width <= registersBelow;
    const list = found.sort === "wires" ? wires : found.sort === "registers" || small ? registers : memories;
    // What will be registers anyway has nothing to ask about.
    const asked = list === memories ? entry.questions.map((question) => ask(question, name)) : [];
    const narrow = Math.min(found.words.read, found.words.write);
    const width = found.width * narrow;
    const wide = (words: number) => (words === narrow ? null : found.width * words);
    list.push({
      name,
      module: module.text.name,
      array,
      path,
      depth: found.depth / narrow,
      width,
      ports: portsName(capped(found.ports)),
      instances,
      lane: found.lane,
      read: found.read,
      clocks,
      initial: found.initial,
      files: found.files,
      readWidth: wide(found.words.read),
      writeWidth: wide(found.words.write),
      registers: found.registers,
      remarks: [...found.remarks, ...(list === memories ? asynchronously(found, placeOf) : [])],
      questions: asked,
      ...placeOf(found.at),
    });
  });
  const open = unsized.map(({ question, ...rest }) => ({ ...rest, questions: [ask(question, rest.array)] }));
  return { memories, registers, wires, unsized: open, questions };
}

/** True for what the reader of design files refuses. */
function beyondLimits({ found: { depth, width }, instances }: Entry): boolean {
  return depth > MAX_DEPTH || width > MAX_WIDTH || instances > MAX_INSTANCES;
}

/** Ports as a design file can state them: 99 of a sort at most. More are only counted for what counts as registers. */
function capped({ read, write, readWrite }: PortCounts): PortCounts {
  const most = (count: number) => Math.min(99, count);
  return { read: most(read), write: most(write), readWrite: most(readWrite) };
}

function asynchronously({ asynchronousAt }: MemoryFound, placeOf: (at: number) => FilePlace): string[] {
  if (asynchronousAt === null) return [];
  const { file, line } = placeOf(asynchronousAt);
  return [`read asynchronously at ${file}:${line}`];
}

/** Names of letters, digits and _, each once: module and array, with the size where several have the same. */
function nameAll(entries: readonly Entry[]): string[] {
  const taken = new Set<string>();
  const plain = ({ module, array }: Entry) => `${module.text.name}_${array}`.replace(/[^A-Za-z0-9_]+/g, "_");
  const uses = new Map<string, number>();
  for (const entry of entries) uses.set(plain(entry), (uses.get(plain(entry)) ?? 0) + 1);
  return entries.map((entry) => {
    const base = plain(entry);
    const { depth, width } = entry.found;
    const sized = (uses.get(base) ?? 0) > 1 ? `${base}_${depth}x${width}` : base;
    // A name that is too long keeps its end, which tells arrays of one module apart.
    const short = sized.length <= MAX_NAME - 6 ? sized : sized.slice(-(MAX_NAME - 6)).replace(/^_+/, "");
    let name = short;
    for (let nth = 2; taken.has(name); nth++) name = `${short}_${nth}`;
    taken.add(name);
    return name;
  });
}
