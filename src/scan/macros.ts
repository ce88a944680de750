import { endOfLine, skipText } from "./tokens.js";

/** A text macro. */
export interface Macro {
  readonly name: string;
  /** Formal arguments with their defaults; null where it takes none. */
  readonly formals: readonly { readonly name: string; readonly standard: string | null }[] | null;
  readonly body: string;
}

/** A use of a macro that was read. */
export interface MacroCall {
  /** Actual arguments, one for each formal; none where it takes none. */
  readonly values: readonly string[];
  /** Offset after the use. */
  readonly end: number;
  /** What is wrong with it, in words; null: nothing. */
  readonly problem: string | null;
}

/** A macro of a name for a value, as on the command line. */
export function plainMacro(name: string, body: string): Macro {
  return { name, formals: null, body };
}

/** Reads what stands after the word `define: the macro (null where it has no name) and the offset after its last line. */
export function readDefinition(
  text: string,
  after: number,
): { readonly macro: Macro | null; readonly end: number } {
  let end = endOfLine(text, after);
  while (/\\\r?$/.test(text.slice(Math.max(after, end - 2), end)) && end < text.length) {
    end = endOfLine(text, end + 1);
  }
  const line = text.slice(after, end);
  const name = /^\s*([A-Za-z_][\w$]*)/.exec(line);
  if (name === null) return { macro: null, end };
  let rest = name[0].length;
  let formals: Macro["formals"] = null;
  if (line[rest] === "(") {
    const list = splitArguments(line, rest);
    rest = list.end;
    formals = list.values.map((value) => {
      const [formal = "", standard = null] = value.split(/=(.*)/s);
      return { name: formal.trim(), standard: standard?.trim() ?? null };
    });
  }
  return { macro: { name: name[1]!, formals, body: bodyOf(line.slice(rest)) }, end };
}

/** The text of a macro without comments, its line breaks escaped in the source made plain. */
function bodyOf(text: string): string {
  let body = "";
  let from = 0;
  const special = /"|\/\/|\/\*/g;
  for (let found = special.exec(text); found !== null; found = special.exec(text)) {
    const end = skipText(text, found.index);
    if (found[0] !== '"') {
      body += `${text.slice(from, found.index)} `;
      from = end;
      // A comment to the end of the line leaves the backslash that continues the macro to the next line.
      if (found[0] === "//" && /\\\r?$/.test(text.slice(found.index, end))) body += "\n";
    }
    special.lastIndex = end;
  }
  return (body + text.slice(from)).replace(/\\\r?\n/g, "\n").trim();
}

/** Splits `(a, b)` at the commas outside brackets and strings. `end` is 0-based after the closing parenthesis; -1: none. */
function splitArguments(text: string, open: number): { readonly values: string[]; readonly end: number } {
  const values: string[] = [];
  let depth = 0;
  let from = open + 1;
  for (let at = open; at < text.length; at++) {
    const sign = text[at]!;
    if (sign === '"' || text.startsWith("//", at) || text.startsWith("/*", at)) {
      at = skipText(text, at) - 1;
    } else if ("([{".includes(sign)) depth++;
    else if (")]}".includes(sign)) {
      depth--;
      if (depth === 0) {
        values.push(text.slice(from, at));
        return { values, end: at + 1 };
      }
    } else if (sign === "," && depth === 1) {
      values.push(text.slice(from, at));
      from = at + 1;
    }
  }
  return { values, end: -1 };
}

/** Reads the arguments of a use; `after` is the offset after the macro's name. */
export function readCall(macro: Macro, text: string, after: number): MacroCall {
  if (macro.formals === null) return { values: [], end: after, problem: null };
  const space = /\s*/y;
  space.lastIndex = after;
  const open = after + space.exec(text)![0].length;
  if (text[open] !== "(")
    return { values: [], end: after, problem: "expected arguments in parentheses, found none" };
  const { values, end } = splitArguments(text, open);
  if (end < 0)
    return { values: [], end: after, problem: "expected a closing parenthesis, found the end of the text" };
  const { formals } = macro;
  const given = values.length === 1 && values[0]!.trim() === "" ? [] : values;
  if (given.length > formals.length) {
    return { values: [], end, problem: `expected ${formals.length} arguments, found ${given.length}` };
  }
  const missing = formals.find(({ standard }, i) => given[i] === undefined && standard === null);
  if (missing !== undefined && !(formals.length === 1 && values.length === 1)) {
    return { values: [], end, problem: `expected ${formals.length} arguments, found ${given.length}` };
  }
  const actual = formals.map(({ standard }, i) => {
    const value = given[i]?.trim() ?? "";
    return value === "" ? (standard ?? "") : value;
  });
  return { values: actual, end, problem: null };
}

/** The body of a macro with its arguments put in; `` joins words and `" quotes (IEEE 1800-2017, 22.5.1). */
export function substitute({ formals, body }: Macro, values: readonly string[]): string {
  const byName = new Map(formals?.map(({ name }, i) => [name, values[i] ?? ""]) ?? []);
  const put = body.replace(/`"|"(?:[^"\\\n]|\\.)*"|[A-Za-z_][\w$]*/g, (word) => byName.get(word) ?? word);
  return put.replace(/`\\`"/g, '\\"').replace(/`"/g, '"').replace(/``/g, "");
}
