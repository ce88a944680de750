import type { Extent } from "./array-found.js";
import { type Context, evaluate, NotConstant } from "./evaluate.js";
import type { Scope } from "./scope.js";
import { BIT, type Shape, vector } from "./shape.js";
import type { Dimension, Expr, TypeRef } from "./syntax.js";

/** Most elements of one dimension. */
const MOST_ELEMENTS = 2n ** 40n;

function size(value: bigint, at: number): number {
  if (value < 1n || value > MOST_ELEMENTS) throw new NotConstant(`a dimension of ${value}`, at);
  return Number(value);
}

/** Bounds of a dimension. `[n]` counts from 0. Throws {@link NotConstant}. */
export function extentOf(
  { left, right }: Dimension,
  scope: Scope,
  context: Context,
): Extent & { readonly falling: boolean } {
  const first = evaluate(left, scope, context);
  if (right === null) return { size: size(first, left.at), low: 0, falling: false };
  const last = evaluate(right, scope, context);
  const falling = first >= last;
  const [low, high] = falling ? [last, first] : [first, last];
  return { size: size(high - low + 1n, left.at), low: Number(low), falling };
}

function withPacked(shape: Shape, packed: readonly Dimension[], scope: Scope, context: Context): Shape {
  return packed.reduceRight<Shape>((of, dimension) => {
    const { size: count, low, falling } = extentOf(dimension, scope, context);
    // `[n]` is no packed dimension in the standard; taken as `[0:n-1]`, as tools do.
    return { width: count * of.width, elements: { size: count, low, falling, of }, fields: null };
  }, shape);
}

/** The bits of a type. Throws {@link NotConstant} where they cannot be told. */
export function shapeOf(type: TypeRef, scope: Scope, context: Context): Shape {
  return withPacked(baseShape(type, scope, context), type.packed, scope, context);
}

function baseShape({ base, at }: TypeRef, scope: Scope, context: Context): Shape {
  switch (base.sort) {
    case "bits":
      return BIT;
    case "integer":
      return vector(base.width);
    case "enum":
      return base.of === null ? vector(32) : shapeOf(base.of, scope, context);
    case "named": {
      const binding =
        base.scope === null ? scope.find(base.name) : context.package(base.scope)?.own(base.name);
      if (binding?.is !== "type") throw new NotConstant(`the type ${base.name} is not known`, at);
      if (binding.shape !== null) return binding.shape;
      if (binding.busy) throw new NotConstant(`the type ${base.name} is defined by itself`, at);
      if (binding.unpacked.length > 0) throw new NotConstant(`the type ${base.name} is an array`, at);
      binding.busy = true;
      try {
        binding.shape = shapeOf(binding.type, binding.scope, context);
        return binding.shape;
      } finally {
        binding.busy = false;
      }
    }
    case "struct": {
      const laid = base.fields.map(({ name, type, unpacked }) => {
        if (unpacked.length > 0) throw new NotConstant(`the field ${name} is an array`, at);
        return { name, shape: shapeOf(type, scope, context) };
      });
      const fields = new Map<string, { low: number; shape: Shape }>();
      let low = 0;
      // The first field is the most significant (IEEE 1800-2017, 7.2.1).
      for (const { name, shape } of laid.reverse()) {
        fields.set(name, { low: base.union ? 0 : low, shape });
        low = base.union ? Math.max(low, shape.width) : low + shape.width;
      }
      return { width: low, elements: null, fields };
    }
    case "other":
      throw new NotConstant(`a type ${JSON.stringify(base.what.slice(0, 40))} has no bits of its own`, at);
  }
}

/** The shape of what an expression names: a signal, an element, a field. Throws {@link NotConstant}. */
export function shapeOfExpr(expr: Expr, scope: Scope, context: Context): Shape {
  switch (expr.op) {
    case "type":
      return shapeOf(expr.type, scope, context);
    case "number":
      return vector(expr.width ?? 32);
    case "name": {
      const binding =
        expr.scope === null ? scope.find(expr.name) : context.package(expr.scope)?.own(expr.name);
      if (binding?.is === "array") return binding.array.word;
      if (binding?.is === "type") {
        return baseShape(
          {
            is: "type",
            base: { sort: "named", name: expr.name, scope: expr.scope },
            packed: [],
            at: expr.at,
          },
          scope,
          context,
        );
      }
      if (binding?.is === "parameter")
        return binding.type === null ? vector(32) : shapeOf(binding.type, binding.scope, context);
      if (binding?.is === "signal")
        return binding.type === null ? BIT : shapeOf(binding.type, binding.scope, context);
      throw new NotConstant(`the bits of ${expr.name} are not known`, expr.at);
    }
    case "index": {
      if (expr.of.op === "name" && scope.find(expr.of.name)?.is === "array")
        return shapeOfExpr(expr.of, scope, context);
      return shapeOfExpr(expr.of, scope, context).elements?.of ?? BIT;
    }
    case "range": {
      const bits = evaluate(expr.msb, scope, context) - evaluate(expr.lsb, scope, context);
      return vector(Math.abs(Number(bits)) + 1);
    }
    case "part":
      return vector(Number(evaluate(expr.width, scope, context)));
    case "member": {
      const field = shapeOfExpr(expr.of, scope, context).fields?.get(expr.name);
      if (field !== undefined) return field.shape;
      throw new NotConstant(`the field ${expr.name} is not known`, expr.at);
    }
    case "join":
      return vector(expr.parts.reduce((sum, part) => sum + shapeOfExpr(part, scope, context).width, 0));
    case "repeat":
      return vector(
        Number(evaluate(expr.times, scope, context)) * shapeOfExpr(expr.of, scope, context).width,
      );
    default:
      throw new NotConstant("the bits of this are not known", expr.at);
  }
}
