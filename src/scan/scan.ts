import { positionOf, type Source } from "../input/index.js";
import { Elaborator } from "./elaborate.js";
import { gather } from "./gather.js";
import { loadParser } from "./grammar.js";
import { Library } from "./library.js";
import { LinePlaces } from "./line-places.js";
import { plainMacro } from "./macros.js";
import { readSources } from "./read-sources.js";
import type { FilePlace, ScanResult } from "./result.js";
import type { Note } from "./source-map.js";

/** Bits up to which an array counts as registers where nothing else is said: the design file's own default. */
export const REGISTERS_BELOW = 512;

/** What a scan is told besides the sources. */
export interface ScanOptions {
  /** Module that the hierarchy starts from; null: the one that no other module instantiates. */
  readonly top?: string | null;
  /** Macros, by name. */
  readonly defines?: ReadonlyMap<string, string>;
  /** Finds the file of an `include, seen from the file that has it. Null (and the default): there is none. */
  readonly include?: (name: string, from: Source) => Source | null;
  /** An array of at most so many bits counts as registers. Default {@link REGISTERS_BELOW}. */
  readonly registersBelow?: number;
}

/** What came of a scan. */
export type ScanOutcome =
  | {
      readonly status: "done";
      readonly result: ScanResult;
      /** Parts that were not read and directives that were not carried out, each with its place. */
      readonly notes: readonly Note[];
    }
  /** The top cannot be told, or is no module. `names`: all modules, or those that could be the top. */
  | {
      readonly status: "no-top";
      readonly word: string | null;
      readonly names: readonly string[];
      readonly notes: readonly Note[];
    }
  /** A macro was given that no source mentions. `names`: those that are mentioned. */
  | { readonly status: "unknown-define"; readonly word: string; readonly names: readonly string[] };

/**
 * Finds the memories of hardware sources in Verilog-2005 or SystemVerilog. Reads every source, follows the hierarchy from
 * the top with its parameters settled, and works out from its use which ports each array needs. Nothing is guessed in
 * silence: what the sources do not say is a question in the result, and what is assumed stands beside it. Throws
 * NoGrammarError where the grammar is not installed; never throws for what stands in the sources.
 */
export async function scan(sources: readonly Source[], options: ScanOptions = {}): Promise<ScanOutcome> {
  const parser = await loadParser();
  const { top = null, defines = new Map<string, string>(), include = () => null } = options;
  const { registersBelow = REGISTERS_BELOW } = options;
  const macros = new Map([...defines].map(([name, value]) => [name, plainMacro(name, value)]));
  const mentioned = new Set<string>();
  const read = readSources(parser, sources, { macros, include, mentioned });
  try {
    const strange = [...defines.keys()].find((name) => !mentioned.has(name));
    if (strange !== undefined)
      return { status: "unknown-define", word: strange, names: [...mentioned].sort() };
    const library = new Library(read.modules, read.outside);
    const { notes } = read;
    const name = topOf(top, library, read.modules);
    const elaborator = new Elaborator(library);
    const module = name.found === null ? null : elaborator.elaborate(name.found);
    if (module === null) return { status: "no-top", word: top, names: name.names, notes };
    const places = new LinePlaces();
    const placeOf = (at: number): FilePlace => places.of(read.map.placeOf(at));
    const gathered = gather(module, library, registersBelow, placeOf);
    const unread = notes.map(({ source, diagnostic }) => {
      const { line, column } = positionOf(source.text, diagnostic.range?.start ?? 0);
      return { file: source.file, line, column, message: diagnostic.message };
    });
    for (const { name: twice, at } of library.repeated) {
      unread.push({ ...placeOf(at), message: `a second module ${twice}; the first one counts` });
    }
    const files = sources.map(({ file }) => file);
    const result: ScanResult = {
      format: "ramtailor-scan/1",
      top: module.text.name,
      files,
      ...gathered,
      unread,
      registersBelow,
    };
    return { status: "done", result, notes };
  } finally {
    read.free();
  }
}

/** The top: the one asked for, or the only module that is in no other. */
function topOf(
  asked: string | null,
  library: Library,
  modules: readonly { readonly items: readonly unknown[] }[],
): { readonly found: string | null; readonly names: readonly string[] } {
  const names = library.moduleNames();
  if (asked !== null) return { found: names.includes(asked) ? asked : null, names };
  const used = new Set<string>();
  const visit = (value: unknown): void => {
    if (Array.isArray(value)) for (const each of value) visit(each);
    else if (typeof value === "object" && value !== null) {
      const { item, module } = value as { item?: unknown; module?: unknown };
      if (item === "instances") used.add(String(module));
      else if (item === "for" || item === "if" || item === "case" || item === "block" || item === undefined) {
        const { body, taken, otherwise, arms, items } = value as Record<string, unknown>;
        for (const inner of [body, taken, otherwise, arms, items])
          if (typeof inner === "object") visit(inner);
      }
    }
  };
  for (const { items } of modules) visit(items);
  const roots = names.filter((name) => !used.has(name));
  return { found: roots.length === 1 ? roots[0]! : null, names: roots.length > 1 ? roots : names };
}
