import { Environment } from "@marcbachmann/cel-js";
import { nearestName } from "../../input/nearest.js";
import { parseFrequency, parseSize } from "../../model/units.js";
import { OptionError } from "./option-error.js";
import { unknownName } from "./unknown-name.js";

/** What a name stands for in an expression. Numbers are counts, bits, bytes or MHz as the name says. */
export type NameValue = string | number | boolean | null | readonly NameValue[];

/** The names that an expression may have: those known before packing, and those known after it. */
export interface Names {
  readonly inputs: ReadonlySet<string>;
  readonly results: ReadonlySet<string>;
}

/** One condition of `--where`. */
export interface Condition {
  readonly text: string;
  readonly names: readonly string[];
  /** True where it can be judged only after packing. */
  readonly usesResults: boolean;
  /** Throws {@link OptionError} where it cannot be worked out, or gives neither true nor false. */
  holds(lookUp: (name: string) => NameValue): boolean;
}

/** Units of size and of clock, for "did you mean". */
const UNITS = ["bit", "bits", "Kibit", "Mibit", "B", "KB", "MB", "KiB", "MiB", "GiB", "kHz", "MHz", "GHz"];
/** Words of the expression language that are no names of ours. */
const WORDS: ReadonlySet<string> = new Set(["true", "false", "null", "in"]);

const STRING = /(?:[rR]?)(?:"""[\s\S]*?"""|'''[\s\S]*?'''|"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')/y;
const HEX = /0[xX][0-9a-fA-F]+\b/y;
const NUMBER = /\d+(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const UNIT = / ?([A-Za-z]+)/y;
const NAME = /[A-Za-z_][A-Za-z0-9_-]*(?:\.[A-Za-z0-9_-]+)*/y;

/** Every number in an expression is a decimal fraction, so that counts, shares and sizes mix. */
const environment = new Environment({ unlistedVariablesAreDyn: true }).registerOperator(
  "double % double",
  (a: number, b: number) => a % b,
);

/** An expression in the words of the library, and the names behind its variables. */
interface Translated {
  readonly text: string;
  /** `v0`, `v1`, ... in order. */
  readonly names: readonly string[];
  /** Ends of the parts that are joined by && outside of brackets; [] where they are joined by others too. */
  readonly conjunctions: readonly number[];
}

function literal(value: number): string {
  return Number.isInteger(value) ? `${value}.0` : String(value);
}

/** Replaces names by variables, numbers with units by numbers, and whole numbers by fractions. */
function translate(text: string, known: (name: string) => boolean, all: readonly string[]): Translated {
  const where = `--where ${JSON.stringify(text)}`;
  const names: string[] = [];
  const conjunctions: number[] = [];
  let others = false;
  let depth = 0;
  let out = "";
  let at = 0;
  const match = (pattern: RegExp): RegExpExecArray | null => {
    pattern.lastIndex = at;
    return pattern.exec(text);
  };
  while (at < text.length) {
    const string = match(STRING);
    if (string !== null) {
      out += string[0];
      at += string[0].length;
      continue;
    }
    const hex = match(HEX);
    const number = hex ?? match(NUMBER);
    if (number !== null) {
      at += number[0].length;
      const unit = hex === null ? match(UNIT) : null;
      if (unit === null || WORDS.has(unit[1]!)) {
        out += literal(Number(number[0]));
        continue;
      }
      const quantity = `${number[0]} ${unit[1]}`;
      const value = parseSize(quantity) ?? parseFrequency(quantity);
      if (value === null) {
        const message = `${where}: ${JSON.stringify(quantity)} is no size or clock`;
        throw new OptionError("wrong-option-value", message, nearestName(unit[1]!, UNITS));
      }
      out += literal(value);
      at += unit[0].length;
      continue;
    }
    const name = match(NAME);
    if (name !== null) {
      const found = longestKnown(name[0], text.slice(at), known);
      const word = found ?? /^[A-Za-z0-9_]+/.exec(name[0])![0];
      at += word.length;
      if (found !== null) {
        if (!names.includes(found)) names.push(found);
        out += `v${names.indexOf(found)}`;
      } else if (WORDS.has(word) || out.endsWith(".") || text.slice(at).trimStart().startsWith("(")) {
        out += word;
      } else {
        throw unknownName(where, name[0], all, "names");
      }
      continue;
    }
    const here = text[at]!;
    if ("([{".includes(here)) depth += 1;
    if (")]}".includes(here)) depth -= 1;
    if (depth === 0 && text.startsWith("&&", at)) conjunctions.push(at);
    if (depth === 0 && (text.startsWith("||", at) || here === "?")) others = true;
    const length = text.startsWith("&&", at) || text.startsWith("||", at) ? 2 : 1;
    out += text.slice(at, at + length);
    at += length;
  }
  return { text: out, names, conjunctions: others ? [] : conjunctions };
}

/** A point and a word after it that is called, as in `.startsWith(`. */
const CALL = /^\.[A-Za-z_]+\s*\(/;

/**
 * The longest beginning of a word that is a name. The word may go on with a hyphen, which is then a minus, or with a
 * call: names have hyphens and points too. `rest` is the expression from the word on.
 */
function longestKnown(word: string, rest: string, known: (name: string) => boolean): string | null {
  for (let end = word.length; end > 0; ) {
    const ends = end === word.length || word[end] === "-" || CALL.test(rest.slice(end));
    if (ends && known(word.slice(0, end))) return word.slice(0, end);
    end = Math.max(word.lastIndexOf("-", end - 1), word.lastIndexOf(".", end - 1));
  }
  return null;
}

/**
 * The conditions that an expression of `--where` joins by && (one, where it is joined otherwise). The language is the
 * Common Expression Language, https://cel.dev, with numbers as fractions, sizes (`16 KiB`, in bits) and clocks
 * (`100 MHz`, in MHz) as numbers, and names such as `l1d.ways`. Nothing in it can call out. Throws
 * {@link OptionError} where it cannot be read or has a name that does not exist.
 */
export function readConditions(text: string, names: Names): Condition[] {
  const known = (name: string) => names.inputs.has(name) || names.results.has(name);
  const all = [...names.results, ...names.inputs];
  const { conjunctions } = translate(text, known, all);
  const starts = [0, ...conjunctions.map((at) => at + 2)];
  const ends = [...conjunctions, text.length];
  return starts.map((start, i) => conditionOf(text.slice(start, ends[i]).trim(), text, names, known, all));
}

function conditionOf(
  part: string,
  whole: string,
  { results }: Names,
  known: (name: string) => boolean,
  all: readonly string[],
): Condition {
  const { text, names } = translate(part, known, all);
  const failed = (error: unknown) => {
    const words = (error as { summary?: string }).summary ?? (error as Error).message;
    return new OptionError("wrong-option-value", `--where ${JSON.stringify(whole)}: ${words}`);
  };
  let run: (context: Record<string, unknown>) => unknown;
  try {
    run = environment.parse(text);
  } catch (error) {
    throw failed(error);
  }
  return {
    text: part,
    names,
    usesResults: names.some((name) => results.has(name)),
    holds(lookUp) {
      let value: unknown;
      try {
        value = run(Object.fromEntries(names.map((name, i) => [`v${i}`, lookUp(name)])));
      } catch (error) {
        throw failed(error);
      }
      if (typeof value !== "boolean")
        throw failed(new Error(`expected true or false, found ${String(value)}`));
      return value;
    },
  };
}
