import {
  Composer,
  type Document,
  type DocumentOptions,
  isAlias,
  isMap,
  isNode,
  isPair,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  type ParseOptions,
  type SchemaOptions,
  visit,
} from "yaml";
import * as z from "zod";
import type { SourceRange } from "../model/index.js";
import type { Diagnostic, DiagnosticCode, Source } from "./diagnostics.js";
import { clip, codeOf, explain, flatten, found, type Issue, messageOf, onePerForm } from "./explain-issue.js";
import { suggestion } from "./nearest.js";
import { tokenize } from "./tokens.js";

// Compiling validators takes longer than they save on a file.
z.config({ jitless: true });

/** Most bytes of a text that is read: 4 MiB. */
export const MAX_TEXT_BYTES = 4 * 1024 * 1024;
/** Most aliases in a text, and most uses of one anchor when the aliases inside other anchors are followed. */
const MAX_ALIASES = 1000;
/** Deepest nesting of lists and mappings; the forms read here need less than ten. */
const MAX_NESTING = 100;

/** Where things of a read text stand. A path is a run of keys and list positions from the root. */
export interface Ranges {
  /** Range of the value at a path; of its key where the value is empty; null where there is no such path. */
  rangeOf(path: readonly PropertyKey[]): SourceRange | null;
  /** Range of the last key of a path; that of the value in a list; null where there is no such path. */
  rangeOfKey(path: readonly PropertyKey[]): SourceRange | null;
}

/** A text that follows its schema, or all that is wrong with it. */
export type Read<T> =
  | ({ readonly ok: true; readonly value: T } & Ranges)
  | { readonly ok: false; readonly diagnostics: readonly Diagnostic[] };

/** Range of a node without the space after it; null where it holds no character. */
function nodeRange(text: string, node: unknown): SourceRange | null {
  if (!isNode(node) || !node.range) return null;
  const [start, end] = node.range;
  const length = text.slice(start, end).trimEnd().length;
  return length === 0 ? null : { start, end: start + length };
}

/** The place of a path: the pair whose value it is, or the item of a list. */
function find(document: Document, path: readonly PropertyKey[]): Node | Pair | null {
  let place: Node | Pair | null = document.contents;
  for (const key of path) {
    let node: unknown = isPair(place) ? place.value : place;
    if (isAlias(node)) node = node.resolve(document);
    let next: unknown;
    if (isMap(node)) next = node.items.find((p) => isScalar(p.key) && p.key.value === String(key));
    else if (isSeq(node)) next = node.items[Number(key)];
    if (!isNode(next) && !isPair(next)) return null;
    place = next;
  }
  return place;
}

/** Where things of a text stand that {@link parseYaml} read. */
export function rangesIn(text: string, document: Document): Ranges {
  const rangeOf = (path: readonly PropertyKey[]) => {
    const place = find(document, path);
    if (!isPair(place)) return nodeRange(text, place);
    return nodeRange(text, place.value) ?? nodeRange(text, place.key);
  };
  const rangeOfKey = (path: readonly PropertyKey[]) => {
    const place = find(document, path);
    return nodeRange(text, isPair(place) ? place.key : place);
  };
  return { rangeOf, rangeOfKey };
}

/** A path in words, for example `memories[2].depth`. */
export function pathName(path: readonly PropertyKey[]): string {
  return path.reduce<string>((name, key) => {
    if (typeof key === "number") return `${name}[${key}]`;
    return name === "" ? String(key) : `${name}.${String(key)}`;
  }, "");
}

/** YAML 1.2, core schema; `inspect` looks for keys that stand twice, in less time for long mappings. */
const OPTIONS: ParseOptions & DocumentOptions & SchemaOptions = {
  version: "1.2",
  schema: "core",
  resolveKnownTags: false,
  stringKeys: true,
  uniqueKeys: false,
  prettyErrors: false,
  logLevel: "error",
  keepSourceTokens: true,
};

/** Words for errors that the library words for programmers, or without what was expected. */
const OWN_WORDS: Readonly<Record<string, (message: string) => string | null>> = {
  NON_STRING_KEY: () => "expected a name as key, found another thing",
  TAB_AS_INDENT: () => "expected spaces as indentation, found a tab",
  MULTILINE_IMPLICIT_KEY: () => "expected a key, a colon and a value, found a text over several lines",
  TAG_RESOLVE_FAILED: (message) => `expected no tag, found ${clip(message.split(": ").at(-1) ?? "")}`,
  MISSING_CHAR: (message) => {
    const quote = /^Missing closing (.)quote$/.exec(message)?.[1];
    return quote === undefined ? null : `expected a closing ${quote}, found none`;
  },
};

export type Report = (code: DiagnosticCode, message: string, range: SourceRange | null) => void;

/** Problems that YAML itself allows: keys that stand twice, numbers that are not finite, aliases in circles. */
function inspect(text: string, document: Document, report: Report): void {
  let aliases = 0;
  visit(document, {
    Map(_, map) {
      const seen = new Set<unknown>();
      for (const { key } of map.items) {
        const name = isScalar(key) ? key.value : key;
        if (seen.has(name))
          report("duplicate-key", `key ${found(name)} stands twice here`, nodeRange(text, key));
        seen.add(name);
      }
    },
    Scalar(_, node) {
      if (typeof node.value !== "number" || Number.isFinite(node.value)) return;
      report(
        "not-finite",
        `expected a finite number, found ${clip(node.source ?? "")}`,
        nodeRange(text, node),
      );
    },
    Alias(_, alias, ancestors) {
      const range = nodeRange(text, alias);
      aliases += 1;
      if (aliases > MAX_ALIASES) {
        report("bad-alias", `expected at most ${MAX_ALIASES} aliases, found more`, range);
        return visit.BREAK;
      }
      const target = alias.resolve(document);
      if (target === undefined) report("bad-alias", `alias *${clip(alias.source)} names no anchor`, range);
      else if (ancestors.includes(target))
        report("bad-alias", `alias *${clip(alias.source)} stands inside itself`, range);
    },
  });
}

/**
 * Parses the text and turns it into plain data; null where problems were reported that leave no data. Nodes keep
 * their tokens, so that a text can be edited in place.
 */
export function parseYaml(text: string, report: Report): { document: Document; data: unknown } | null {
  const read = tokenize(text, MAX_NESTING);
  if ("deep" in read) {
    report("over-limit", `nested more than ${MAX_NESTING} deep`, { start: read.deep, end: read.deep + 1 });
    return null;
  }
  try {
    const [document, second] = new Composer(OPTIONS).compose(read.tokens, true, text.length);
    if (document === undefined) throw new Error("the composer gave no document");
    if (second !== undefined) {
      const start = second.range[0];
      report("yaml-syntax", "expected one document, found another", { start, end: start + "---".length });
      return null;
    }
    for (const { pos, code, message } of [...document.errors, ...document.warnings]) {
      report("yaml-syntax", OWN_WORDS[code]?.(message) ?? message.slice(0, 200), {
        start: pos[0],
        end: Math.max(pos[0] + 1, pos[1]),
      });
    }
    const { explicit, version } = document.directives?.yaml ?? {};
    if (explicit === true && version !== "1.2") {
      report("yaml-syntax", `expected YAML 1.2, found the directive for ${version}`, null);
    }
    if (document.errors.length + document.warnings.length > 0) return null;
    let sound = true;
    inspect(text, document, (code, message, range) => {
      if (code === "bad-alias") sound = false;
      report(code, message, range);
    });
    return sound ? { document, data: document.toJS({ maxAliasCount: MAX_ALIASES }) } : null;
  } catch (error) {
    // The way in which the library says that aliases of aliases multiply beyond the limit.
    if (!(error instanceof ReferenceError)) throw error;
    report("bad-alias", `expected at most ${MAX_ALIASES} uses of an anchor, found more`, null);
    return null;
  }
}

/** The keys that the schema of an issue has. */
function keysOf(schema: unknown): readonly string[] {
  const shape = (schema as { _zod?: { def?: { shape?: object } } } | undefined)?._zod?.def?.shape;
  return shape === undefined ? [] : Object.keys(shape);
}

/** What stands at a path of plain data; undefined where nothing does. */
function valueAt(data: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>((value, key) => {
    const inside = typeof value === "object" && value !== null && Object.hasOwn(value, key);
    return inside ? (value as Record<PropertyKey, unknown>)[key] : undefined;
  }, data);
}

/** Range of the value at a path, or of the nearest thing around it that is there. */
function nearestRange(at: Ranges, path: readonly PropertyKey[]): SourceRange | null {
  for (let length = path.length; length > 0; length -= 1) {
    const range = at.rangeOf(path.slice(0, length));
    if (range !== null) return range;
  }
  return at.rangeOf([]);
}

/** One issue of the schema as diagnostics. `known` gives the legal keys of a mapping that has others. */
function reportIssue(
  issue: Issue,
  data: unknown,
  known: ReadonlyMap<unknown, readonly string[]>,
  at: Ranges,
  report: Report,
): void {
  const { path } = issue;
  const name = pathName(path);
  const value = valueAt(data, path);
  const prefix = name === "" ? "" : `${name}: `;
  if (issue.code === "unrecognized_keys") {
    const names = known.get(value) ?? [];
    for (const key of issue.keys) {
      const words = `${prefix}unknown key ${found(key)}${suggestion(key, names, "known keys")}`;
      report("unknown-key", words, at.rangeOfKey([...path, key]));
    }
  } else if (issue.code === "invalid_key") {
    const words = issue.issues.map((inner) => messageOf(inner, "", path.at(-1))).join("; ");
    report("wrong-value", `${name}: in the key, ${words}`, at.rangeOfKey(path));
  } else {
    report(codeOf(issue, value), messageOf(issue, name, value), nearestRange(at, path));
  }
}

/** Checks plain data against a schema; the problems are reported, and null is given where there are any. */
export function checkData<S extends z.ZodType>(
  data: unknown,
  schema: S,
  at: Ranges,
  report: Report,
): { readonly value: z.output<S> } | null {
  const known = new Map<unknown, readonly string[]>();
  const result = schema.safeParse(data, {
    reportInput: true,
    error: (issue) => {
      if (issue.code === "unrecognized_keys") known.set(issue.input, keysOf(issue.inst));
      return explain(issue as Issue);
    },
  });
  if (result.success) return { value: result.data };
  for (const issue of onePerForm(flatten(result.error.issues))) reportIssue(issue, data, known, at, report);
  return null;
}

/** In the order of the text; those about the whole file first. */
export function inOrder(diagnostics: readonly Diagnostic[]): Diagnostic[] {
  return diagnostics.toSorted((a, b) => (a.range?.start ?? -1) - (b.range?.start ?? -1));
}

/**
 * Reads a YAML 1.2 text (core schema, one document, every key text and unique) and checks it against a schema.
 * All problems are gathered; where the YAML itself is broken, only those of the YAML, because the rest would follow
 * from them. Never throws for what stands in the text.
 */
export function readYaml<S extends z.ZodType>(source: Source, schema: S): Read<z.output<S>> {
  const { file, text } = source;
  const diagnostics: Diagnostic[] = [];
  const report: Report = (code, message, range) =>
    diagnostics.push({ code, severity: "error", message, range, file });
  if (new TextEncoder().encode(text).length > MAX_TEXT_BYTES) {
    report("over-limit", "expected at most 4 MiB of text, found more", null);
    return { ok: false, diagnostics };
  }
  const parsed = parseYaml(text, report);
  if (parsed === null) return { ok: false, diagnostics };
  const at = rangesIn(text, parsed.document);
  const told = new Set(diagnostics.map((d) => d.range?.start));
  const checked = checkData(parsed.data, schema, at, (code, message, range) => {
    // A number that is not finite was reported already; that the schema wants another is no news.
    if (code !== "wrong-type" || !told.has(range?.start)) report(code, message, range);
  });
  if (checked === null || diagnostics.length > 0) return { ok: false, diagnostics: inOrder(diagnostics) };
  return { ok: true, value: checked.value, ...at };
}
