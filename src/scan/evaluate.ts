import { runFunction } from "./constant-function.js";
import type { Binding, Scope } from "./scope.js";
import type { Expr } from "./syntax.js";

/** Thrown where an expression has no value that can be told from the sources alone. */
export class NotConstant extends Error {
  constructor(
    message: string,
    readonly at: number,
  ) {
    super(message);
    this.name = "NotConstant";
  }
}

/** Packages by name; null where there is none. Types are laid out by what is handed in: `bits` gives their width. */
export interface Context {
  readonly package: (name: string) => Scope | null;
  /** Bits of a type or of a signal. Throws {@link NotConstant}. */
  readonly bits: (of: Expr, scope: Scope) => number;
}

/** Widest value that shifts and powers may make, in bits. */
const MOST_BITS = 65_536n;

function findName(expr: Extract<Expr, { op: "name" }>, scope: Scope, context: Context): Binding | null {
  if (expr.scope === null) return scope.find(expr.name);
  return context.package(expr.scope)?.own(expr.name) ?? null;
}

/** The value of a bound name. */
function boundValue(name: string, binding: Binding, context: Context, at: number): bigint {
  if (binding.is === "constant") return binding.value;
  if (binding.is !== "parameter") throw new NotConstant(`${name} is no constant`, at);
  if (binding.value !== null) return binding.value;
  if (binding.busy) throw new NotConstant(`${name} is defined by itself`, at);
  if (binding.expr === null) throw new NotConstant(`${name} has no value`, at);
  binding.busy = true;
  try {
    binding.value = evaluate(binding.expr, binding.scope, context);
    return binding.value;
  } finally {
    binding.busy = false;
  }
}

const truth = (value: boolean) => (value ? 1n : 0n);

function binary(sign: string, left: bigint, right: bigint, at: number): bigint {
  switch (sign) {
    case "+":
      return left + right;
    case "-":
      return left - right;
    case "*":
      return left * right;
    case "/":
    case "%":
      if (right === 0n) throw new NotConstant("a division by 0", at);
      return sign === "/" ? left / right : left % right;
    case "**":
      if (right < 0n || right * BigInt(left.toString(2).length) > MOST_BITS) {
        throw new NotConstant(`a power of ${right}`, at);
      }
      return left ** right;
    case "<<":
    case "<<<":
      if (right < 0n || right > MOST_BITS) throw new NotConstant(`a shift by ${right}`, at);
      return left << right;
    case ">>":
    case ">>>":
      return right > MOST_BITS ? 0n : left >> right;
    case "==":
    case "===":
    case "==?":
      return truth(left === right);
    case "!=":
    case "!==":
    case "!=?":
      return truth(left !== right);
    case "<":
      return truth(left < right);
    case "<=":
      return truth(left <= right);
    case ">":
      return truth(left > right);
    case ">=":
      return truth(left >= right);
    case "&&":
      return truth(left !== 0n && right !== 0n);
    case "||":
      return truth(left !== 0n || right !== 0n);
    case "->":
      return truth(left === 0n || right !== 0n);
    case "&":
      return left & right;
    case "|":
      return left | right;
    case "^":
      return left ^ right;
    default:
      throw new NotConstant(`an operator ${sign}`, at);
  }
}

function unary(sign: string, expr: Expr, scope: Scope, context: Context): bigint {
  const value = evaluate(expr, scope, context);
  switch (sign) {
    case "+":
      return value;
    case "-":
      return -value;
    case "!":
      return truth(value === 0n);
    case "|":
      return truth(value !== 0n);
    case "~|":
      return truth(value === 0n);
    case "~":
      return expr.op === "number" && expr.width !== null ? BigInt.asUintN(expr.width, ~value) : ~value;
    default:
      throw new NotConstant(`an operator ${sign}`, expr.at);
  }
}

/** Least number of bits that can number so many words (IEEE 1800-2017, 20.8.1). */
export function ceilLog2(value: bigint): bigint {
  return value <= 1n ? 0n : BigInt((value - 1n).toString(2).length);
}

function call(expr: Extract<Expr, { op: "call" }>, scope: Scope, context: Context): bigint {
  const { name, args, at } = expr;
  const [first] = args;
  if (name.startsWith("$")) {
    if (first === undefined) throw new NotConstant(`${name} without a value`, at);
    if (name === "$clog2") return ceilLog2(evaluate(first, scope, context));
    if (name === "$bits") return BigInt(context.bits(first, scope));
    if (name === "$signed" || name === "$unsigned") return evaluate(first, scope, context);
    throw new NotConstant(`${name} is not worked out`, at);
  }
  const [scopeName, own] = name.includes("::") ? name.split("::").map((word) => word.trim()) : [null, name];
  const from =
    scopeName === null || scopeName === undefined ? scope.find(own!) : context.package(scopeName)?.own(own!);
  if (from?.is !== "routine" || from.routine.sort !== "function") {
    throw new NotConstant(`the function ${name} is not known`, at);
  }
  const values = args.map((argument) => evaluate(argument, scope, context));
  const result = runFunction(from.routine, values, from.scope, (inner, where) =>
    evaluate(inner, where, context),
  );
  if (result === null) throw new NotConstant(`the function ${name} is not worked out`, at);
  return result;
}

/** Bits of a part of a concatenation. */
function partBits(expr: Expr, scope: Scope, context: Context): number {
  if (expr.op === "number" && expr.width !== null) return expr.width;
  return context.bits(expr, scope);
}

/**
 * The value of an expression in a scope. Parameters, loop variables, $clog2, $bits and functions of plain statements
 * are worked out, without limit of bits but where the text gives a width. Throws {@link NotConstant} otherwise.
 */
export function evaluate(expr: Expr, scope: Scope, context: Context): bigint {
  switch (expr.op) {
    case "number":
      if (expr.value === null) throw new NotConstant("a number with x or z, or not whole", expr.at);
      return expr.value;
    case "name": {
      const binding = findName(expr, scope, context);
      if (binding === null) throw new NotConstant(`${expr.name} is not known`, expr.at);
      return boundValue(expr.name, binding, context, expr.at);
    }
    case "unary":
      return unary(expr.sign, expr.of, scope, context);
    case "binary": {
      const left = evaluate(expr.left, scope, context);
      if (expr.sign === "&&" && left === 0n) return 0n;
      if (expr.sign === "||" && left !== 0n) return 1n;
      return binary(expr.sign, left, evaluate(expr.right, scope, context), expr.at);
    }
    case "choose":
      return evaluate(
        evaluate(expr.when, scope, context) !== 0n ? expr.taken : expr.otherwise,
        scope,
        context,
      );
    case "join":
      return expr.parts.reduce((value, part) => {
        const bits = partBits(part, scope, context);
        return (value << BigInt(bits)) | BigInt.asUintN(bits, evaluate(part, scope, context));
      }, 0n);
    case "repeat": {
      const times = evaluate(expr.times, scope, context);
      const bits = BigInt(partBits(expr.of, scope, context));
      if (times < 0n || times * bits > MOST_BITS) throw new NotConstant(`a repetition of ${times}`, expr.at);
      const one = evaluate(expr.of, scope, context);
      let value = 0n;
      for (let i = 0n; i < times; i++) value = (value << bits) | one;
      return value;
    }
    case "index":
    case "range": {
      const value = evaluate(expr.of, scope, context);
      const high = evaluate(expr.op === "index" ? expr.index : expr.msb, scope, context);
      const low = expr.op === "index" ? high : evaluate(expr.lsb, scope, context);
      if (low < 0n || high < low || high > MOST_BITS) throw new NotConstant("a range of bits", expr.at);
      return BigInt.asUintN(Number(high - low) + 1, value >> low);
    }
    case "cast": {
      const value = evaluate(expr.of, scope, context);
      if (expr.to === null) return value;
      if ("is" in expr.to)
        return BigInt.asUintN(context.bits({ op: "type", type: expr.to, at: expr.at }, scope), value);
      const { to } = expr;
      let bits: bigint;
      try {
        bits = evaluate(to, scope, context);
      } catch {
        bits = BigInt(context.bits(to, scope));
      }
      if (bits < 1n || bits > MOST_BITS) throw new NotConstant(`a cast to ${bits} bits`, expr.at);
      return BigInt.asUintN(Number(bits), value);
    }
    case "call":
      return call(expr, scope, context);
    default:
      throw new NotConstant("this is no constant", expr.at);
  }
}
