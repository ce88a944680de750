import type { AccessKind } from "../advise/index.js";
import { UsageError } from "./usage-error.js";

/** Reads one argument of an option that may be repeated onto those read before. */
export function repeated(text: string, before: readonly string[]): readonly string[] {
  return [...before, text];
}

/** Reads the argument of `--jobs`. */
export function jobsOf(text: string): number {
  if (/^\d{1,3}$/.test(text) && Number(text) >= 1) return Number(text);
  throw new UsageError(
    "wrong-option-value",
    `--jobs: expected a whole number from 1 to 999, found ${JSON.stringify(text)}`,
  );
}

const KINDS: readonly AccessKind[] = ["fetch", "read", "write"];

/** Reads one argument of `--sees`, for example `l2=fetch,read,write`, onto those read before. */
export function seesOf(
  text: string,
  earlier: ReadonlyMap<string, readonly AccessKind[]>,
): ReadonlyMap<string, readonly AccessKind[]> {
  const isKind = (word: string): word is AccessKind => KINDS.some((kind) => kind === word);
  const [cache, kinds] = cacheAndWords(
    "--sees",
    text,
    "kinds of access, for example l2=fetch,read,write",
    isKind,
  );
  return added("--sees", earlier, cache, kinds);
}

/** Reads one argument of `--behind`, for example `l2=l1i,l1d`, onto those read before. */
export function behindOf(
  text: string,
  earlier: ReadonlyMap<string, readonly string[]>,
): ReadonlyMap<string, readonly string[]> {
  const isName = (word: string): word is string => word !== "";
  const [cache, before] = cacheAndWords(
    "--behind",
    text,
    "the caches before it, for example l2=l1i,l1d",
    isName,
  );
  return added("--behind", earlier, cache, before);
}

/** The cache and the words, each once, of `CACHE=WORD,WORD`. */
function cacheAndWords<T extends string>(
  option: string,
  text: string,
  expected: string,
  isWord: (word: string) => word is T,
): [cache: string, words: readonly T[]] {
  const [cache = "", list = "", ...more] = text.split("=");
  const words = list.split(",");
  if (cache !== "" && more.length === 0 && words.every(isWord)) return [cache, [...new Set(words)]];
  const message = `${option}: expected a cache and ${expected}, found ${JSON.stringify(text)}`;
  throw new UsageError("wrong-option-value", message);
}

function added<T>(
  option: string,
  earlier: ReadonlyMap<string, T>,
  cache: string,
  value: T,
): ReadonlyMap<string, T> {
  if (!earlier.has(cache)) return new Map([...earlier, [cache, value]]);
  throw new UsageError("wrong-option-value", `${option}: ${JSON.stringify(cache)} is given twice`);
}
