import type { ArrayFound } from "./array-found.js";
import { evaluate, NotConstant } from "./evaluate.js";
import type { Library } from "./library.js";
import type { Scope } from "./scope.js";
import { BIT, elementLow, type Shape } from "./shape.js";
import type { Expr } from "./syntax.js";

/** Which bits of a word are meant. */
export type Bits =
  | { readonly sort: "whole" }
  | { readonly sort: "known"; readonly low: number; readonly width: number }
  /** Somewhere, at a multiple of `step` bits. */
  | { readonly sort: "moving"; readonly width: number; readonly step: number };

/** A place in an array. */
export interface Reference {
  readonly array: ArrayFound;
  /** One index for each unpacked dimension; fewer where more than a word is meant. */
  readonly indexes: readonly Expr[];
  readonly bits: Bits;
}

type Select = Extract<Expr, { op: "index" | "range" | "part" | "member" }>;

/** The array that an expression is a place of, and the place; null where it is none. */
export function referenceOf(expr: Expr, scope: Scope, library: Library): Reference | null {
  const selects: Select[] = [];
  let base = expr;
  while (base.op === "index" || base.op === "range" || base.op === "part" || base.op === "member") {
    selects.unshift(base);
    const inside = blockMember(base, scope, library);
    if (inside !== null) {
      selects.shift();
      return placeIn(inside, selects, scope, library);
    }
    base = base.of;
  }
  if (base.op !== "name") return null;
  const binding = base.scope === null ? scope.find(base.name) : library.package(base.scope)?.own(base.name);
  return binding?.is === "array" ? placeIn(binding.array, selects, scope, library) : null;
}

/** The array of `block.name` or `block[2].name`, a generate block of this module. */
function blockMember(expr: Select, scope: Scope, library: Library): ArrayFound | null {
  if (expr.op !== "member") return null;
  const block = blockOf(expr.of, scope, library);
  const binding = block?.own(expr.name);
  return binding?.is === "array" ? binding.array : null;
}

function blockOf(expr: Expr, scope: Scope, library: Library): Scope | null {
  let label: string;
  let around: Scope | null = null;
  let named: Expr = expr;
  let index = "";
  if (named.op === "index") {
    const value = constantOf(named.index, scope, library);
    if (value === null) return null;
    index = `[${value}]`;
    named = named.of;
  }
  if (named.op === "name") label = named.name;
  else if (named.op === "member") {
    label = named.name;
    around = blockOf(named.of, scope, library);
    if (around === null) return null;
  } else return null;
  return around === null ? scope.findBlock(label + index) : (around.blocks.get(label + index) ?? null);
}

function placeIn(array: ArrayFound, selects: readonly Select[], scope: Scope, library: Library): Reference {
  const indexes: Expr[] = [];
  let at = 0;
  while (at < array.extents.length) {
    const select = selects[at];
    if (select?.op !== "index") return { array, indexes, bits: { sort: "whole" } };
    indexes.push(select.index);
    at++;
  }
  return { array, indexes, bits: bitsOf(array.word, selects.slice(at), scope, library) };
}

/** The bits that selects after the word's index take. */
function bitsOf(word: Shape, selects: readonly Select[], scope: Scope, library: Library): Bits {
  let shape = word;
  let low = 0;
  let step: number | null = null;
  for (const select of selects) {
    const next = oneSelect(shape, select, scope, library);
    if (next.low === null) step = step === null ? next.step : gcd(step, next.step);
    else low += next.low;
    shape = next.shape;
  }
  if (step !== null) return { sort: "moving", width: shape.width, step: gcd(step, low) };
  if (low === 0 && shape.width === word.width) return { sort: "whole" };
  return { sort: "known", low, width: shape.width };
}

/** First bit (null: not known, a multiple of `step`) and shape of what one select takes. */
function oneSelect(
  shape: Shape,
  select: Select,
  scope: Scope,
  library: Library,
): { readonly low: number | null; readonly step: number; readonly shape: Shape } {
  const whole = { low: 0, step: 1, shape };
  if (select.op === "member") {
    const field = shape.fields?.get(select.name);
    return field === undefined ? whole : { low: field.low, step: 1, shape: field.shape };
  }
  const elements = shape.elements;
  const of = elements?.of ?? BIT;
  const first = elements?.low ?? 0;
  const falling = elements?.falling ?? true;
  const lowOf = (index: bigint) =>
    elements === null ? Number(index) * of.width : elementLow(shape, Number(index));
  const row = (count: number): Shape => ({
    width: count * of.width,
    elements: { size: count, low: 0, falling, of },
    fields: null,
  });
  if (select.op === "index") {
    const index = constantOf(select.index, scope, library);
    if (index === null) return { low: null, step: of.width, shape: of };
    return { low: lowOf(index) ?? 0, step: of.width, shape: of };
  }
  if (select.op === "range") {
    const [msb, lsb] = [constantOf(select.msb, scope, library), constantOf(select.lsb, scope, library)];
    if (msb === null || lsb === null) return whole;
    const count = Number(msb < lsb ? lsb - msb : msb - lsb) + 1;
    const ends = [lowOf(msb), lowOf(lsb)].filter((end) => end !== null);
    return { low: ends.length === 0 ? 0 : Math.min(...ends), step: 1, shape: row(count) };
  }
  const width = constantOf(select.width, scope, library);
  if (width === null || width < 1n) return { low: null, step: 1, shape: of };
  const count = Number(width);
  const from = constantOf(select.from, scope, library);
  if (from === null) {
    const base = multipleOf(select.from, scope, library);
    const start = select.up ? first : first + count - 1;
    const step = gcd(gcd(base, start) || count, count) * of.width;
    return { low: null, step: falling ? step : of.width, shape: row(count) };
  }
  const other = select.up ? from + BigInt(count - 1) : from - BigInt(count - 1);
  const ends = [lowOf(from), lowOf(other)].filter((end) => end !== null);
  return { low: ends.length === 0 ? 0 : Math.min(...ends), step: 1, shape: row(count) };
}

/** A number that divides an expression whatever its signals are; 0 where it is 0. */
function multipleOf(expr: Expr, scope: Scope, library: Library): number {
  const value = constantOf(expr, scope, library);
  if (value !== null) return Number(value < 0n ? -value : value);
  if (expr.op === "binary") {
    const { left, right, sign } = expr;
    if (sign === "*") return multipleOf(left, scope, library) * multipleOf(right, scope, library);
    if (sign === "+" || sign === "-")
      return gcd(multipleOf(left, scope, library), multipleOf(right, scope, library));
    if (sign === "<<" || sign === "<<<") {
      const by = constantOf(right, scope, library);
      return by === null || by < 0n || by > 30n ? 1 : multipleOf(left, scope, library) * 2 ** Number(by);
    }
  }
  const last = expr.op === "join" ? expr.parts.at(-1) : undefined;
  if (last?.op === "number" && last.value === 0n && last.width !== null) return 2 ** Math.min(30, last.width);
  return 1;
}

/** The value of an expression, or null. */
export function constantOf(expr: Expr, scope: Scope, library: Library): bigint | null {
  try {
    return evaluate(expr, scope, library);
  } catch (error) {
    if (error instanceof NotConstant) return null;
    throw error;
  }
}

/** Greatest common divisor; of 0 and n it is n. */
export function gcd(a: number, b: number): number {
  let [x, y] = [Math.abs(a), Math.abs(b)];
  while (y > 0) [x, y] = [y, x % y];
  return x;
}
