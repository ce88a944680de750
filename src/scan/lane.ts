import type { Write } from "./accesses.js";
import { shapeOfExpr } from "./layout.js";
import { conditionsOf, type Facts } from "./path.js";
import type { Question } from "./question.js";
import { gcd, referenceOf } from "./reference.js";
import type { Scope } from "./scope.js";
import type { Signals } from "./signals.js";
import type { Expr } from "./syntax.js";

/** Bits under one write enable: null where the whole word is written. */
export interface Lane {
  readonly bits: number | null;
  readonly question: Question | null;
}

/**
 * What one write enable covers, from the parts of words that are written under different conditions. Parts that are
 * always written together count as one. `width`: bits of a word.
 */
export function laneOf(
  writes: readonly Write[],
  width: number,
  facts: (write: Write) => Facts,
  signals: Signals,
): Lane {
  const together = new Map<string, [number, number][]>();
  let unit = 0;
  let question: Question | null = null;
  for (const write of writes) {
    const { bits, at } = write;
    if (bits.sort === "moving") {
      unit = gcd(unit, gcd(bits.width, bits.step));
      if (gcd(bits.width, bits.step) < bits.width) {
        const text = `where in the word these ${bits.width} bits start is not known; lanes of ${gcd(bits.width, bits.step)} bits are taken: what does one write enable cover?`;
        question ??= { code: "lane", at, text };
      }
      continue;
    }
    const key = conditionsOf(facts(write));
    const list = together.get(key) ?? [];
    together.set(key, list);
    if (bits.sort === "known") {
      list.push([bits.low, bits.low + bits.width]);
      continue;
    }
    const kept = keptParts(write, width, signals);
    if (kept === "all") list.push([0, width]);
    else if (kept === "unknown") {
      unit = 1;
      const text =
        "the write puts bits of the old word beside new ones; a write enable for each bit is taken: what does one write enable cover?";
      question ??= { code: "lane", at, text };
    } else for (const end of kept) unit = gcd(unit, end);
  }
  for (const list of together.values()) {
    for (const [low, end] of joined(list)) {
      unit = gcd(unit, low);
      if (end < width) unit = gcd(unit, end);
    }
  }
  return { bits: unit === 0 || unit >= width ? null : unit, question };
}

/** Ranges in order, those that touch made one. */
function joined(list: readonly (readonly [number, number])[]): [number, number][] {
  const made: [number, number][] = [];
  for (const [low, end] of [...list].sort((a, b) => a[0] - b[0])) {
    const last = made.at(-1);
    if (last !== undefined && low <= last[1]) last[1] = Math.max(last[1], end);
    else made.push([low, end]);
  }
  return made;
}

/**
 * Where a written word takes over bits of the word that was there: at no place (`all` is new), at these ends of parts,
 * or at places that cannot be told.
 */
function keptParts(write: Write, width: number, signals: Signals): "all" | "unknown" | readonly number[] {
  const { value, scope } = write;
  const own = (expr: Expr) => isOwn(expr, scope, write, signals);
  if (!holds(value, own)) return "all";
  if (value.op === "choose" && (own(value.taken) || own(value.otherwise))) {
    return holds(own(value.taken) ? value.otherwise : value.taken, own) ? "unknown" : "all";
  }
  if (value.op !== "join") return isMask(value, own) ? "unknown" : "all";
  const ends: number[] = [];
  let end = width;
  for (const part of value.parts) {
    const bits = bitsOf(part, scope, signals);
    if (bits === null) return "unknown";
    if (end < width) ends.push(end);
    end -= bits;
  }
  return end === 0 ? ends : "unknown";
}

function bitsOf(part: Expr, scope: Scope, signals: Signals): number | null {
  if (part.op === "choose")
    return bitsOf(part.taken, scope, signals) ?? bitsOf(part.otherwise, scope, signals);
  const reference = referenceOf(part, scope, signals.library);
  if (reference !== null)
    return reference.bits.sort === "whole" ? reference.array.word.width : reference.bits.width;
  try {
    return shapeOfExpr(part, scope, signals.library).width;
  } catch {
    return null;
  }
}

/** True where an expression is the word, or a part of it, that a write replaces. */
export function isOwn(expr: Expr, scope: Scope, write: Write, signals: Signals): boolean {
  const target = referenceOf(write.step.target, write.scope, signals.library);
  const reference = referenceOf(expr, scope, signals.library);
  if (target === null || reference?.array !== target.array) return false;
  const text = (indexes: readonly Expr[], where: Scope) =>
    indexes.map((index) => signals.text(index, where)).join();
  return text(reference.indexes, scope) === text(target.indexes, write.scope);
}

/** True where the value keeps bits of the old word rather than works with them: parts, choices and masks. */
export function keepsOld(write: Write, signals: Signals): boolean {
  const own = (expr: Expr) => isOwn(expr, write.scope, write, signals);
  const { value } = write;
  const keeps = (expr: Expr): boolean => {
    if (!holds(expr, own)) return true;
    if (own(expr)) return true;
    if (expr.op === "choose") return !holds(expr.when, own) && keeps(expr.taken) && keeps(expr.otherwise);
    return expr.op === "join" && expr.parts.every(keeps);
  };
  return holds(value, own) && (keeps(value) || isMask(value, own));
}

/** `(old & ~mask) | (new & mask)`. */
function isMask(value: Expr, own: (expr: Expr) => boolean): boolean {
  if (value.op !== "binary" || value.sign !== "|") return false;
  const masked = (side: Expr) =>
    side.op === "binary" && side.sign === "&" && (own(side.left) || own(side.right));
  return masked(value.left) !== masked(value.right);
}

function holds(expr: Expr, own: (expr: Expr) => boolean): boolean {
  if (own(expr)) return true;
  const inside = (value: unknown): boolean => {
    if (Array.isArray(value)) return value.some(inside);
    if (typeof value !== "object" || value === null) return false;
    return "op" in value ? holds(value as Expr, own) : Object.values(value).some(inside);
  };
  return Object.values(expr).some(inside);
}
