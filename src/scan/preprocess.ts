import { nearestName, type Source } from "../input/index.js";
import { type Macro, type MacroCall, readCall, readDefinition, substitute } from "./macros.js";
import { type Note, noteAt, type SourceMap } from "./source-map.js";
import { skipText } from "./tokens.js";

/** What the compiler directives of a unit may use. */
export interface Directives {
  /** Macros by name. Those that a unit defines stay for the units after it. */
  readonly macros: Map<string, Macro>;
  /** Finds the file of an `include, seen from the file that has it; null where there is none. */
  readonly include: (name: string, from: Source) => Source | null;
  /** Names that a directive or a use mentions, for "did you mean". */
  readonly mentioned: Set<string>;
}

/** Deepest nesting of include files and of macros. */
const MOST_DEEP = 64;
/** Longest text that macros and includes may grow a unit to, in characters. */
const MOST_TEXT = 256 * 2 ** 20;

/** Directives whose whole line says nothing about memories. */
const IGNORED = new Set([
  "timescale",
  "default_nettype",
  "line",
  "pragma",
  "begin_keywords",
  "end_keywords",
  "unconnected_drive",
  "nounconnected_drive",
  "celldefine",
  "endcelldefine",
  "resetall",
]);

interface Branch {
  /** True where the text of this branch counts. */
  live: boolean;
  /** True where an earlier branch of the same `ifdef counted, or the text around does not. */
  done: boolean;
  readonly at: number;
}

/**
 * Carries out the compiler directives of a file (`define, `undef, `ifdef and its kin, `include) and puts macros in,
 * and returns the text that is left: verbatim but for macros, with every line break in its place, so that lines of a
 * unit without includes keep their numbers. Does what IEEE 1800-2017 clause 22 says of these directives; others are
 * left out. A macro that is not defined stays as it is.
 */
export function preprocess(
  unit: Source,
  base: number,
  directives: Directives,
  map: SourceMap,
  notes: Note[],
): string {
  const { macros, mentioned } = directives;
  const out: string[] = [];
  let length = base;
  let copied = 0;
  const emit = (text: string, source: Source, offset: number, verbatim: boolean) => {
    if (text === "") return;
    map.add(length, source, offset, verbatim);
    out.push(text);
    length += text.length;
  };

  const run = (source: Source, depth: number): void => {
    const { text } = source;
    const branches: Branch[] = [];
    const warn = (at: number, size: number, message: string) =>
      notes.push(noteAt({ source, offset: at }, size, "directive", message));
    const live = () => branches.at(-1)?.live ?? true;
    let from = 0;
    const flush = (to: number) => {
      if (live()) emit(text.slice(from, to), source, from, true);
      else emit(breaksOf(text.slice(from, to)), source, from, false);
    };
    const special = /`|"|\/\/|\/\*|\\/g;
    for (;;) {
      const found = special.exec(text);
      if (found === null) break;
      const at = found.index;
      if (found[0] !== "`") {
        special.lastIndex = skipText(text, at);
        continue;
      }
      const name = /^`([A-Za-z_][\w$]*)/.exec(text.slice(at, at + 1026))?.[1];
      if (name === undefined) continue;
      const after = at + 1 + name.length;
      if (["ifdef", "ifndef", "elsif", "else", "endif"].includes(name)) {
        flush(at);
        const symbol = /^\s*([A-Za-z_][\w$]*)/.exec(text.slice(after, after + 1026));
        const takes = name !== "else" && name !== "endif";
        const to = takes && symbol !== null ? after + symbol[0].length : after;
        if (takes && symbol === null)
          warn(at, name.length + 1, `expected a name after \`${name}, found none`);
        if (symbol !== null && takes) mentioned.add(symbol[1]!);
        const defined = takes && symbol !== null && macros.has(symbol[1]!);
        if (name === "ifdef" || name === "ifndef") {
          const taken = live() && defined === (name === "ifdef");
          branches.push({ live: taken, done: taken || !live(), at });
        } else {
          const branch = branches.at(-1);
          if (branch === undefined)
            warn(at, name.length + 1, `expected an \`ifdef before \`${name}, found none`);
          else if (name === "endif") branches.pop();
          else {
            branch.live = !branch.done && (name === "else" || defined);
            branch.done ||= branch.live;
          }
        }
        emit(breaksOf(text.slice(at, to)), source, at, false);
        from = to;
        special.lastIndex = to;
        continue;
      }
      if (!live()) continue;
      flush(at);
      let to = after;
      if (name === "define") {
        const definition = readDefinition(text, after);
        to = definition.end;
        if (definition.macro === null) warn(at, 7, "expected a name after `define, found none");
        else macros.set(definition.macro.name, definition.macro);
        emit(breaksOf(text.slice(at, to)), source, at, false);
      } else if (name === "undef") {
        const symbol = /^[ \t]*([A-Za-z_][\w$]*)?/.exec(text.slice(after, after + 1026))!;
        to = after + symbol[0].length;
        macros.delete(symbol[1] ?? "");
      } else if (name === "undefineall") {
        macros.clear();
      } else if (name === "include") {
        to = includeAt(source, at, after, depth, warn);
      } else if (IGNORED.has(name)) {
        const end = text.indexOf("\n", after);
        to = end < 0 ? text.length : end;
      } else {
        mentioned.add(name);
        const call = expand(text, name, after, 0, (message) => warn(at, name.length + 1, message));
        to = call.end;
        if (call.text === null) emit(text.slice(at, to), source, at, true);
        else emit(call.text.replace(/\s*\n\s*/g, " ") + breaksOf(text.slice(at, to)), source, at, false);
      }
      from = to;
      special.lastIndex = to;
    }
    flush(text.length);
    const open = branches.at(-1);
    if (open !== undefined) warn(open.at, 1, "expected an `endif for this, found the end of the file");
  };

  const includeAt = (
    source: Source,
    at: number,
    after: number,
    depth: number,
    warn: (at: number, size: number, message: string) => void,
  ): number => {
    const { text } = source;
    const line = /^[^\n]*/.exec(text.slice(after, after + 4096))![0];
    const direct = /^\s*(?:"([^"]*)"|<([^>]*)>)/.exec(line);
    let name = direct?.[1] ?? direct?.[2];
    let to = after + (direct?.[0].length ?? line.length);
    const macro = direct === null ? /^\s*`([A-Za-z_][\w$]*)/.exec(line) : null;
    if (macro !== null) {
      const start = after + macro[0].length;
      const call = expand(text, macro[1]!, start, 0, (message) => warn(at, 8, message));
      name = /^\s*["<]([^">]*)/.exec(call.text ?? "")?.[1];
      to = call.end;
    }
    const file = name === undefined ? null : directives.include(name, source);
    if (name === undefined) warn(at, 8, "expected the name of a file after `include, found none");
    else if (file === null)
      warn(at, 8, `${JSON.stringify(name)} is in no folder that is searched (-I adds one); left out`);
    else if (depth >= MOST_DEEP) warn(at, 8, `includes are nested more than ${MOST_DEEP} deep; left out`);
    else if (length - base > MOST_TEXT)
      warn(at, 8, "the text of all includes is longer than 256 MiB; left out");
    else run(file, depth + 1);
    return to;
  };

  /** The text that a use of a macro stands for, with the macros in it; null where it is not defined. */
  const expand = (
    text: string,
    name: string,
    after: number,
    depth: number,
    warn: (message: string) => void,
  ): { readonly text: string | null; readonly end: number } => {
    const macro = macros.get(name);
    if (macro === undefined) {
      if (depth === 0 || name !== "__LINE__") warn(undefinedMacro(name, [...macros.keys()]));
      return { text: null, end: after };
    }
    const call: MacroCall = readCall(macro, text, after);
    if (call.problem !== null) {
      warn(`\`${name}: ${call.problem}`);
      return { text: null, end: after };
    }
    if (depth > MOST_DEEP || copied > MOST_TEXT) {
      warn(`\`${name} stands for itself, or for more text than 256 MiB; left as it is`);
      return { text: null, end: call.end };
    }
    const body = substitute(macro, call.values);
    copied += body.length;
    let result = "";
    let from = 0;
    const use = /`([A-Za-z_][\w$]*)|"(?:[^"\\\n]|\\.)*"/g;
    for (let inner = use.exec(body); inner !== null; inner = use.exec(body)) {
      const word = inner[1];
      if (word === undefined) continue;
      mentioned.add(word);
      const start = inner.index + inner[0].length;
      const nested = expand(body, word, start, depth + 1, warn);
      result += body.slice(from, inner.index) + (nested.text ?? body.slice(inner.index, nested.end));
      from = nested.end;
      use.lastIndex = nested.end;
    }
    return { text: result + body.slice(from), end: call.end };
  };

  run(unit, 0);
  return out.join("");
}

function undefinedMacro(name: string, names: readonly string[]): string {
  const near = nearestName(name, names);
  return `\`${name} is not defined${near === null ? "" : `; did you mean "${near}"?`}`;
}

/** The line breaks of a text and nothing else. */
function breaksOf(text: string): string {
  return "\n".repeat(text.split("\n").length - 1);
}
