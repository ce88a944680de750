import {
  isCollection,
  isMap,
  isPair,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  type YAMLMap,
  YAMLSeq,
} from "yaml";
import { blockText, type EditValue, flowText, type Quotes } from "./yaml-value.js";

/** Characters `[start, end)` of a text and what comes in their place. */
export interface Splice {
  readonly start: number;
  readonly end: number;
  readonly text: string;
}

/** A text with splices that do not overlap. */
export function spliced(text: string, splices: readonly Splice[]): string {
  return splices
    .toSorted((a, b) => b.start - a.start)
    .reduce((result, { start, end, text: put }) => result.slice(0, start) + put + result.slice(end), text);
}

type Item = Node | Pair;

/** Line end of a text: that of its first line. */
function newlineOf(text: string): string {
  return /\r?\n/.exec(text)?.[0] ?? "\n";
}

function lineStart(text: string, at: number): number {
  return text.lastIndexOf("\n", at - 1) + 1;
}

/** End of the line of a place, before its line end. */
function lineEnd(text: string, at: number): number {
  const end = text.indexOf("\n", at);
  if (end < 0) return text.length;
  return text[end - 1] === "\r" && end > at ? end - 1 : end;
}

/** Start of the line after a place; the end of the text where there is none. */
function nextLine(text: string, at: number): number {
  const end = text.indexOf("\n", at);
  return end < 0 ? text.length : end + 1;
}

function isBlock(node: unknown): boolean {
  if (isCollection(node)) return node.flow !== true;
  return isScalar(node) && (node.type === "BLOCK_LITERAL" || node.type === "BLOCK_FOLDED");
}

function startOf(item: Item): number {
  const node = isPair(item) ? (item.key as Node) : item;
  return node.range![0];
}

/** Just after the `:` of a pair; after its key where there is none. */
function afterColon(text: string, pair: Pair): number {
  const end = (pair.key as Node).range![1];
  const colon = /^[ \t]*:/.exec(text.slice(end));
  return colon === null ? end : end + colon[0].length;
}

/** True where a pair has a value of at least one character. */
function hasValue(pair: Pair): boolean {
  const range = (pair.value as Node | null)?.range;
  return range !== undefined && range !== null && range[1] > range[0];
}

/** End of the last character of an item that is neither space nor comment. */
function endOf(text: string, item: Item): number {
  if (isPair(item)) return hasValue(item) ? endOf(text, item.value as Node) : afterColon(text, item);
  if (isCollection(item) && isBlock(item) && item.items.length > 0) {
    return endOf(text, item.items.at(-1) as Item);
  }
  const [start, end] = item.range!;
  return start + text.slice(start, end).trimEnd().length;
}

/** Place of the comma between two places of a flow collection, comments left out; null where there is none. */
function commaBetween(text: string, from: number, to: number): number | null {
  for (let at = from; at < to; at += 1) {
    if (text[at] === ",") return at;
    if (text[at] === "#") at = lineEnd(text, at);
  }
  return null;
}

function blank(text: string): boolean {
  return /^\s*$/.test(text);
}

function flowRemoval(text: string, items: readonly Item[], index: number, close: number): Splice[] {
  const item = items[index]!;
  const [start, end] = [startOf(item), endOf(text, item)];
  const next = items[index + 1];
  const until = next === undefined ? close : startOf(next);
  const comma = commaBetween(text, end, until);
  if (comma !== null) {
    const rest = /^[ \t]*/.exec(text.slice(comma + 1))![0].length;
    const upTo =
      next !== undefined && blank(text.slice(comma + 1, until)) ? until : Math.min(until, comma + 1 + rest);
    return [{ start, end: upTo, text: "" }];
  }
  const before = items[index - 1];
  const earlier = before === undefined ? null : commaBetween(text, endOf(text, before), start);
  if (earlier === null) return [{ start, end, text: "" }];
  if (blank(text.slice(earlier + 1, start))) return [{ start: earlier, end, text: "" }];
  return [
    { start: earlier, end: earlier + 1, text: "" },
    { start, end, text: "" },
  ];
}

/** Place of the dash of an item of a block list. */
function dashOf(list: YAMLSeq, index: number): number {
  const token = list.srcToken;
  const items = token !== undefined && "items" in token ? token.items : [];
  const dash = items[index]?.start.find(({ type }) => type === "seq-item-ind");
  if (dash === undefined) throw new Error("an item of a block list has no dash");
  return dash.offset;
}

function blockRemoval(text: string, parent: YAMLMap | YAMLSeq, index: number): Splice[] {
  const item = parent.items[index] as Item;
  const start = parent instanceof YAMLSeq ? dashOf(parent, index) : startOf(item);
  const end = endOf(text, item);
  const line = lineStart(text, start);
  if (blank(text.slice(line, start))) return [{ start: line, end: nextLine(text, end), text: "" }];
  // Behind a dash: the next key takes the place, unless comments stand between.
  const next = parent.items[index + 1] as Item | undefined;
  const after = next === undefined ? null : startOf(next);
  if (after !== null && blank(text.slice(nextLine(text, end), after)))
    return [{ start, end: after, text: "" }];
  return [{ start, end: lineEnd(text, end), text: "" }];
}

/** Takes an item out of its collection. `owner` is the pair whose value the collection is; null for the root. */
export function removal(
  text: string,
  parent: YAMLMap | YAMLSeq,
  index: number,
  owner: Pair | null,
): readonly Splice[] {
  if (!isBlock(parent)) return flowRemoval(text, parent.items as Item[], index, parent.range![1] - 1);
  if (parent.items.length > 1 || owner === null) return blockRemoval(text, parent, index);
  return [{ ...valueRange(text, owner), text: isSeq(parent) ? " []" : " {}" }];
}

/** From the colon of a pair to the end of its value. */
function valueRange(text: string, pair: Pair): { start: number; end: number } {
  return { start: afterColon(text, pair), end: endOf(text, pair) };
}

function quotesOf(node: unknown): Quotes | null {
  if (!isScalar(node)) return null;
  return node.type === "QUOTE_DOUBLE" || node.type === "QUOTE_SINGLE" ? node.type : null;
}

/** Puts a value in the place of an item's. */
export function replacement(text: string, item: Item, value: EditValue): readonly Splice[] {
  const node = isPair(item) ? item.value : item;
  const words = flowText(value, quotesOf(node));
  if (isPair(item) && (!hasValue(item) || isBlock(node))) {
    const colon = text[afterColon(text, item) - 1] === ":" ? "" : ":";
    return [{ ...valueRange(text, item), text: `${colon} ${words}` }];
  }
  return [{ start: startOf(node as Node), end: endOf(text, node as Node), text: words }];
}

/** Column of a place, from 0, as spaces. */
function indentAt(text: string, at: number): string {
  return " ".repeat(at - lineStart(text, at));
}

/** What stands on a line of its own below the item that ends at a place. */
function below(text: string, end: number, words: string): Splice {
  const at = lineEnd(text, end);
  return { start: at, end: at, text: newlineOf(text) + words };
}

/** Puts `words` behind an item of a flow collection, or into an empty one. */
function flowAddition(text: string, parent: YAMLMap | YAMLSeq, after: number, words: string): Splice {
  const item = parent.items[after] as Item | undefined;
  if (item !== undefined) {
    const at = endOf(text, item);
    return { start: at, end: at, text: `, ${words}` };
  }
  const [start, end] = parent.range!;
  const padded = isMap(parent) ? ` ${words} ` : words;
  return { start: start + 1, end: blank(text.slice(start + 1, end - 1)) ? end - 1 : start + 1, text: padded };
}

/** Adds a key to a mapping, behind the item of a position. */
export function keyAddition(
  text: string,
  map: YAMLMap,
  after: number,
  key: string,
  value: EditValue,
): readonly Splice[] {
  const words = `${flowText(key)}: ${flowText(value)}`;
  if (!isBlock(map)) return [flowAddition(text, map, after, words)];
  const indent = indentAt(text, startOf(map.items[0] as Item));
  return [below(text, endOf(text, map.items[after] as Item), indent + words)];
}

/** Adds a mapping to a list that has items or is in flow style, behind the item of a position, in its style. */
export function entryAddition(
  text: string,
  list: YAMLSeq,
  after: number,
  entry: Readonly<Record<string, EditValue>>,
): readonly Splice[] {
  if (!isBlock(list)) return [flowAddition(text, list, after, flowText(entry))];
  const item = list.items[after] as Node;
  const dash = dashOf(list, after);
  const indent = indentAt(text, dash);
  const gap = " ".repeat(Math.max(1, startOf(item) - dash - 1));
  const plain = lineStart(text, startOf(item)) === lineStart(text, dash) ? gap : " ";
  const words = isBlock(item) ? blockText(entry, `${newlineOf(text)}${indent} ${plain}`) : flowText(entry);
  return [below(text, endOf(text, item), `${indent}-${plain}${words}`)];
}

/** Adds a key with a block list of one entry to the end of a block mapping. */
export function listAddition(
  text: string,
  map: YAMLMap,
  key: string,
  entry: Readonly<Record<string, EditValue>>,
): readonly Splice[] {
  const last = map.items.length - 1;
  if (!isBlock(map)) return [flowAddition(text, map, last, `${key}: [${flowText(entry)}]`)];
  const indent = indentAt(text, startOf(map.items[0] as Item));
  const lines = [`${indent}${key}:`, `${indent}  - ${flowText(entry)}`];
  return [below(text, endOf(text, map.items[last] as Item), lines.join(newlineOf(text)))];
}
