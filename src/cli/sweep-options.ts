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
  before: ReadonlyMap<string, readonly AccessKind[]>,
): ReadonlyMap<string, readonly AccessKind[]> {
  const [cache = "", list = "", ...more] = text.split("=");
  const words = list.split(",");
  const kinds = KINDS.filter((kind) => words.includes(kind));
  if (cache === "" || more.length > 0 || kinds.length !== words.length) {
    const expected = "a cache and kinds of access, for example l2=fetch,read,write";
    throw new UsageError("wrong-option-value", `--sees: expected ${expected}, found ${JSON.stringify(text)}`);
  }
  if (before.has(cache)) {
    throw new UsageError("wrong-option-value", `--sees: ${JSON.stringify(cache)} is given twice`);
  }
  return new Map([...before, [cache, kinds]]);
}
