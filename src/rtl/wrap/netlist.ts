/** What a generated module is made of, in no language: signals, expressions and the items that connect them. */

/** A named signal of some bits, numbered from 0 at the least significant. One bit is a scalar in every language. */
export interface Signal {
  readonly op: "signal";
  readonly name: string;
  readonly width: number;
}

/** A value without effect. Every operator keeps to operands of one width. */
export type Expr =
  | Signal
  | { readonly op: "bits"; readonly of: Signal; readonly low: number; readonly width: number }
  | { readonly op: "const"; readonly value: number; readonly width: number }
  /** Parts from the most significant to the least. */
  | { readonly op: "join"; readonly parts: readonly Expr[]; readonly width: number }
  | { readonly op: "not"; readonly of: Expr; readonly width: number }
  | { readonly op: "and" | "or" | "xor"; readonly parts: readonly Expr[]; readonly width: number }
  /** 1 where the operand has the value, 1 bit. */
  | {
      readonly op: "is" | "at-least" | "at-most";
      readonly of: Expr;
      readonly value: number;
      readonly width: 1;
    }
  /** 1 where two operands are equal, 1 bit. */
  | { readonly op: "same"; readonly a: Expr; readonly b: Expr; readonly width: 1 }
  | {
      readonly op: "choose";
      readonly when: Expr;
      readonly then: Expr;
      readonly otherwise: Expr;
      readonly width: number;
    }
  /** Sum or difference, cut to the width of the operands. */
  | { readonly op: "plus" | "minus"; readonly a: Expr; readonly b: Expr; readonly width: number };

/** A port of a module. */
export interface RtlPort {
  readonly signal: Signal;
  readonly direction: "in" | "out";
}

/** One pin of an instance: inputs take any value, outputs a signal. */
export interface Pin {
  readonly pin: string;
  readonly direction: "in" | "out";
  readonly value: Expr;
}

/** One statement of a module. */
export type Item =
  | { readonly item: "comment"; readonly text: string }
  | { readonly item: "wire"; readonly signal: Signal }
  /** Drives `width` bits of the target from `low` up. */
  | { readonly item: "assign"; readonly target: Signal; readonly low: number; readonly value: Expr }
  | {
      readonly item: "register";
      readonly signal: Signal;
      readonly clock: Signal;
      readonly enable: Expr | null;
      readonly next: Expr;
      /** Value at start; null: none is needed. */
      readonly initial: number | null;
    }
  | {
      readonly item: "instance";
      readonly module: string;
      readonly name: string;
      readonly pins: readonly Pin[];
      /** Hex file of the contents at start; null: the instance takes none. */
      readonly contents: string | null;
    };

/** A module without its leaves. */
export interface RtlModule {
  readonly name: string;
  /** Lines of the comment above it. */
  readonly header: readonly string[];
  readonly ports: readonly RtlPort[];
  readonly items: readonly Item[];
}

/** A constant. */
export function constant(value: number, width: number): Expr {
  return { op: "const", value, width };
}

export const ONE = constant(1, 1);
export const ZERO = constant(0, 1);

const isConst = (expr: Expr, value: number) => expr.op === "const" && expr.value === value;

/** Bits `low` to `low + width - 1` of a signal. */
export function bits(of: Signal, low: number, width: number): Expr {
  if (low < 0 || width < 1 || low + width > of.width) {
    throw new Error(`bits ${low}+${width} of ${of.name}, which has ${of.width}`);
  }
  return low === 0 && width === of.width ? of : { op: "bits", of, low, width };
}

const slice = (expr: Expr) =>
  expr.op === "signal"
    ? { of: expr, low: 0, width: expr.width }
    : expr.op === "bits"
      ? { of: expr.of, low: expr.low, width: expr.width }
      : null;

/** Puts values side by side, the least significant first; neighbouring bits of one signal become one slice. */
export function join(fromLeast: readonly Expr[]): Expr {
  const parts: Expr[] = [];
  for (const part of fromLeast) {
    if (part.width === 0) continue;
    const last = parts.at(-1);
    const [below, above] = [last === undefined ? null : slice(last), slice(part)];
    if (below !== null && above !== null && below.of === above.of && below.low + below.width === above.low) {
      parts[parts.length - 1] = bits(below.of, below.low, below.width + above.width);
    } else if (last?.op === "const" && part.op === "const" && last.value === 0 && part.value === 0) {
      parts[parts.length - 1] = constant(0, last.width + part.width);
    } else parts.push(part);
  }
  if (parts.length === 1) return parts[0]!;
  const width = parts.reduce((sum, part) => sum + part.width, 0);
  return { op: "join", parts: parts.reverse(), width };
}

/** The complement of every bit. */
export function not(of: Expr): Expr {
  if (of.op === "not") return of.of;
  return { op: "not", of, width: of.width };
}

function distinct(parts: readonly Expr[]): Expr[] {
  const seen = new Map(parts.map((part) => [JSON.stringify(part), part]));
  return [...seen.values()];
}

/** All of 1-bit conditions. */
export function all(conditions: readonly Expr[]): Expr {
  const parts = distinct(conditions.filter((part) => !isConst(part, 1)));
  if (parts.some((part) => isConst(part, 0))) return ZERO;
  if (parts.length < 2) return parts[0] ?? ONE;
  return { op: "and", parts, width: 1 };
}

/** Any of 1-bit conditions. */
export function any(conditions: readonly Expr[]): Expr {
  const parts = distinct(conditions.filter((part) => !isConst(part, 0)));
  if (parts.some((part) => isConst(part, 1))) return ONE;
  if (parts.length < 2) return parts[0] ?? ZERO;
  return { op: "or", parts, width: 1 };
}

/** Bitwise exclusive-or of values of one width. */
export function xor(parts: readonly Expr[]): Expr {
  if (parts.length === 1) return parts[0]!;
  return { op: "xor", parts, width: parts[0]!.width };
}

/** Whether a value equals a constant. */
export function is(of: Expr, value: number): Expr {
  if (of.width === 1) return value === 1 ? of : not(of);
  return { op: "is", of, value, width: 1 };
}

/** Whether two values are equal. */
export function same(a: Expr, b: Expr): Expr {
  return { op: "same", a, b, width: 1 };
}

/** One of two values. */
export function choose(when: Expr, then: Expr, otherwise: Expr): Expr {
  if (isConst(when, 1) || JSON.stringify(then) === JSON.stringify(otherwise)) return then;
  if (isConst(when, 0)) return otherwise;
  return { op: "choose", when, then, otherwise, width: then.width };
}

/** Every named signal in a value, with the bits of it. */
export function slicesIn(expr: Expr): { of: Signal; low: number; width: number }[] {
  switch (expr.op) {
    case "signal":
    case "bits":
      return [slice(expr)!];
    case "const":
      return [];
    case "join":
    case "and":
    case "or":
    case "xor":
      return expr.parts.flatMap(slicesIn);
    case "not":
    case "is":
    case "at-least":
    case "at-most":
      return slicesIn(expr.of);
    case "choose":
      return [expr.when, expr.then, expr.otherwise].flatMap(slicesIn);
    case "same":
    case "plus":
    case "minus":
      return [expr.a, expr.b].flatMap(slicesIn);
  }
}
