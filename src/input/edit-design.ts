import { isDeepStrictEqual } from "node:util";
import {
  type Document,
  isAlias,
  isMap,
  isPair,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  type YAMLMap,
  YAMLSeq,
} from "yaml";
import { designSchema } from "./design-schema.js";
import { nearestName, suggestion } from "./nearest.js";
import { parseYaml } from "./read-yaml.js";
import { unknownKey } from "./schema-keys.js";
import {
  entryAddition,
  keyAddition,
  listAddition,
  removal,
  replacement,
  type Splice,
  spliced,
} from "./splice.js";
import type { EditValue } from "./yaml-value.js";

/** The lists of entries in a design file. */
export type EntryList = "memories" | "structures";

/** Sets a key, or takes it out. */
export interface KeyEdit {
  /**
   * The name of a memory or structure, then the key in it, then keys inside its value, with dots between them:
   * `l1d.ways`, `patterns.tables.count`. Or a key of the design itself: `clock`, `available.EBR`. An entry goes before
   * a key of the design that has its name. A number picks an item of a list, from 0.
   */
  readonly path: string;
  /** The new value; null takes the key out (of a path that is an entry's name alone: the entry). */
  readonly value: EditValue | null;
}

/** Adds a memory or structure. */
export interface EntryEdit {
  readonly list: EntryList;
  /** Its keys and values, in order. */
  readonly entry: Readonly<Record<string, EditValue>>;
  /** Name of the entry of the same list to put it behind; left out: at the end of the list. */
  readonly after?: string;
}

/** One change of a design file. */
export type DesignEdit = KeyEdit | EntryEdit;

/** The edited text, or why it cannot be edited so. */
export type EditedDesign =
  | { readonly ok: true; readonly text: string }
  | {
      readonly ok: false;
      /** One sentence without a full stop. */
      readonly problem: string;
      /** The name that exists and is most like the one that does not; null where none is, or it is about no name. */
      readonly nearest: string | null;
    };

type Data = Record<string, unknown>;

/** What cannot be done, on its way to the caller. */
class Refusal extends Error {
  constructor(
    message: string,
    readonly nearest: string | null = null,
  ) {
    super(message);
  }
}

function unknownName(prefix: string, word: string, names: readonly string[], what: string): never {
  const quoted = JSON.stringify(word);
  throw new Refusal(
    `${prefix}${quoted} is no ${what}${suggestion(word, names, "there are")}`,
    nearestName(word, names),
  );
}

interface Parsed {
  readonly text: string;
  readonly document: Document;
  readonly data: Data;
}

function parsed(text: string): Parsed {
  const problems: string[] = [];
  const read = parseYaml(text, (_, message) => problems.push(message));
  if (read === null || problems.length > 0)
    throw new Refusal(`the text is no YAML of a design: ${problems[0]}`);
  if (!isMap(read.document.contents)) throw new Refusal("expected a mapping, found another thing");
  return { text, document: read.document, data: read.data as Data };
}

/** Names of the entries of a list, in order; "" for one without. */
function namesIn(data: Data, list: EntryList): string[] {
  const entries = data[list];
  if (!Array.isArray(entries)) return [];
  return entries.map((entry: { name?: unknown } | null) =>
    typeof entry?.name === "string" ? entry.name : "",
  );
}

function entryPath(data: Data, name: string): string[] | null {
  for (const list of ["memories", "structures"] as const) {
    const at = namesIn(data, list).indexOf(name);
    if (at >= 0 && name !== "") return [list, String(at)];
  }
  return null;
}

/** The path from the root that an edit means. Refuses names and keys that do not exist. */
function resolved(data: Data, path: string, removes: boolean): string[] {
  const parts = path.split(".");
  if (parts.includes("")) throw new Refusal(`${JSON.stringify(path)}: expected names with dots between them`);
  const [first, ...rest] = parts as [string, ...string[]];
  const entry = entryPath(data, first);
  const own = Object.keys(designSchema.shape);
  if (entry === null || (rest.length === 0 && own.includes(first))) {
    if (!own.includes(first)) {
      const names = [...namesIn(data, "memories"), ...namesIn(data, "structures"), ...own];
      unknownName(
        parts.length > 1 ? `${path}: ` : "",
        first,
        names,
        "memory, structure or key of the design",
      );
    }
    refuseUnknown(data, path, parts, 0);
    return parts;
  }
  if (rest.length === 0 && !removes) {
    throw new Refusal(
      `${JSON.stringify(path)}: expected a key after the name, for example ${first}.instances`,
    );
  }
  const full = [...entry, ...rest];
  refuseUnknown(data, path, full, entry.length);
  return full;
}

function refuseUnknown(data: Data, path: string, full: readonly string[], shown: number): void {
  const unknown = unknownKey(designSchema, data, full);
  if (unknown === null) return;
  const owner = unknown.at > shown ? full[unknown.at - 1]! : path.split(".")[0]!;
  unknownName(`${path}: `, full[unknown.at]!, unknown.names, `key of ${owner}`);
}

/** An item of a collection: the collection, the item's position, and the pair whose value the collection is. */
interface Place {
  readonly parent: YAMLMap | YAMLSeq;
  readonly owner: Pair | null;
  /** -1: the collection has no such item. */
  readonly index: number;
}

function positionIn(parent: YAMLMap | YAMLSeq, key: string): number {
  if (parent instanceof YAMLSeq) return Number(key) < parent.items.length ? Number(key) : -1;
  return parent.items.findIndex((pair) => isScalar(pair.key) && pair.key.value === key);
}

/** The deepest collection on a path that is there, and how many keys of the path lead to the item in it. */
function placeOf(document: Document, path: readonly string[]): Place & { readonly used: number } {
  let owner: Pair | null = null;
  let parent = document.contents as YAMLMap | YAMLSeq;
  for (let used = 1; ; used += 1) {
    const index = positionIn(parent, path[used - 1]!);
    const item = parent.items[index] as Node | Pair | undefined;
    if (item === undefined || used === path.length) return { parent, owner, index, used };
    const value: unknown = isPair(item) ? item.value : item;
    if (isAlias(value))
      throw new Refusal(`${path.join(".")}: is behind the alias *${value.source}; edit its anchor`);
    // Another value is replaced by a mapping that holds the key.
    if (!isMap(value) && !isSeq(value)) return { parent, owner, index, used };
    owner = isPair(item) ? item : null;
    parent = value;
  }
}

/** The value with the keys of a path around it. */
function around(keys: readonly string[], value: EditValue): EditValue {
  return keys.reduceRight<EditValue>((inner, key) => ({ [key]: inner }), value);
}

/** The position of a new key of the design itself: before the first list of entries. */
function lastPlain(map: YAMLMap): number {
  const list = map.items.findIndex((pair) => isSeq(pair.value));
  return list > 0 ? list - 1 : map.items.length - 1;
}

function keySplices({ text, document, data }: Parsed, edit: KeyEdit): readonly Splice[] {
  const path = resolved(data, edit.path, edit.value === null);
  const { parent, owner, index, used } = placeOf(document, path);
  if (edit.value === null) {
    return index < 0 || used < path.length ? [] : removal(text, parent, index, owner);
  }
  const value = around(path.slice(used), edit.value);
  if (index >= 0) return replacement(text, parent.items[index] as Node | Pair, value);
  if (parent instanceof YAMLSeq) {
    throw new Refusal(`${edit.path}: the list has ${parent.items.length} items, counted from 0`);
  }
  const after = owner === null && used === 1 ? lastPlain(parent) : parent.items.length - 1;
  return keyAddition(text, parent, after, path[used - 1]!, value);
}

function entrySplices(
  { text, document, data }: Parsed,
  { list, entry, after }: EntryEdit,
): readonly Splice[] {
  const root = document.contents as YAMLMap;
  const pair = root.items.find(({ key }) => isScalar(key) && key.value === list);
  const names = namesIn(data, list);
  if (after !== undefined && !names.includes(after)) unknownName("", after, names, `entry of ${list}`);
  if (pair === undefined) return listAddition(text, root, list, entry);
  if (isAlias(pair.value)) throw new Refusal(`${list}: is an alias; edit its anchor`);
  if (!(pair.value instanceof YAMLSeq)) return replacement(text, pair, [entry]);
  const at = after === undefined ? names.length - 1 : names.indexOf(after);
  return entryAddition(text, pair.value, at, entry);
}

/** The data that an edit should leave. */
function editedData(data: Data, edit: DesignEdit): Data {
  // Without shared parts: an edit behind an alias has to show as a difference.
  const copy = JSON.parse(JSON.stringify(data)) as Data;
  if ("list" in edit) {
    const entries = (copy[edit.list] ?? []) as unknown[];
    const at = edit.after === undefined ? entries.length : namesIn(data, edit.list).indexOf(edit.after) + 1;
    copy[edit.list] = entries.toSpliced(at, 0, edit.entry);
    return copy;
  }
  const path = resolved(data, edit.path, edit.value === null);
  const last = path.pop()!;
  let at: Data = copy;
  for (const key of path) {
    if (typeof at[key] !== "object" || at[key] === null) {
      if (edit.value === null) return copy;
      at[key] = {};
    }
    at = at[key] as Data;
  }
  if (edit.value !== null) at[last] = edit.value;
  else if (Array.isArray(at)) at.splice(Number(last), 1);
  else delete at[last];
  return copy;
}

/**
 * Changes a design file and nothing else in it: comments, order, style and line breaks of the rest stay as they are,
 * byte for byte. The edits are made one after the other. A new key goes behind the last of its entry, in the entry's
 * style; a new key of the design goes before its lists. Taking out a key that is not there changes nothing.
 *
 * It does not check values: {@link readDesign} tells whether the result is a design. Refused are names and keys that
 * do not exist, and edits that would change other places too (an anchor that aliases use).
 */
export function editDesign(text: string, edits: readonly DesignEdit[]): EditedDesign {
  try {
    let here = parsed(text);
    for (const edit of edits) {
      const wanted = editedData(here.data, edit);
      const next = parsedAfter(here, edit);
      if (next === null || !isDeepStrictEqual(next.data, wanted)) {
        const what = "list" in edit ? edit.list : edit.path;
        throw new Refusal(`${what}: cannot be edited alone: an anchor, an alias or a tag stands here`);
      }
      here = next;
    }
    return { ok: true, text: here.text };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { ok: false, problem: error.message, nearest: error.nearest };
  }
}

function parsedAfter(here: Parsed, edit: DesignEdit): Parsed | null {
  const splices = "list" in edit ? entrySplices(here, edit) : keySplices(here, edit);
  try {
    return parsed(spliced(here.text, splices));
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}
