import { type Cst, part } from "./grammar.js";
import { numberOf } from "./number.js";
import { declaratorOf, typeOf } from "./read-type.js";
import type { Declarator, Expr, TypeRef } from "./syntax.js";
import type { UnitText } from "./unit-text.js";

/** Rules that only wrap brackets and members after a name. */
const WRAPPERS = new Set([
  "bit_select",
  "select",
  "constant_bit_select",
  "constant_select",
  "nonrange_select",
  "hierarchical_identifier",
  "nonrange_variable_lvalue",
  "package_scope",
  "class_scope",
  "ps_identifier",
]);

const TYPES = new Set([
  "data_type",
  "integer_vector_type",
  "integer_atom_type",
  "non_integer_type",
  "class_type",
  "casting_type",
]);

/** The parts of a name with selects, brackets and members in one row. */
function flat(of: Cst): Cst[] {
  return of.kids.flatMap((kid) => (WRAPPERS.has(kid.kind) ? flat(kid) : [kid]));
}

/** A name with its package, elements, ranges and members: `p::a.b[i][7:0]`. Null where it is something else. */
function readSelects(unit: UnitText, node: Cst): Expr | null {
  const row = flat(node);
  const at = unit.at(node);
  let scope: string | null = null;
  let first = 0;
  if (row[1]?.kind === "::" && row[2] !== undefined) {
    scope = unit.textOf(row[0]!);
    first = 2;
  }
  const head = row[first];
  if (head === undefined) return null;
  let result: Expr =
    head.kind === "simple_identifier" || head.kind === "escaped_identifier"
      ? { op: "name", name: unit.nameOf(head), scope, at }
      : readExpression(unit, head);
  for (let i = first + 1; i < row.length; i++) {
    const { kind } = row[i]!;
    if (kind === ".") {
      const name = row[i + 1];
      if (name === undefined) return null;
      result = { op: "member", of: result, name: unit.nameOf(name), at };
      i++;
    } else if (kind === "[") {
      const inner = row[i + 1];
      if (inner === undefined || row[i + 2]?.kind !== "]") return null;
      result = readSelect(unit, result, inner, at);
      i += 2;
    } else return null;
  }
  return result;
}

function readSelect(unit: UnitText, of: Expr, inner: Cst, at: number): Expr {
  const [left, sign, right] = inner.kids;
  if (
    (inner.kind === "constant_range" || inner.kind === "part_select_range") &&
    left !== undefined &&
    right !== undefined
  ) {
    return { op: "range", of, msb: readExpression(unit, left), lsb: readExpression(unit, right), at };
  }
  if (/^(?:constant_)?indexed_range$/.test(inner.kind) && left !== undefined && right !== undefined) {
    const [from, width] = [readExpression(unit, left), readExpression(unit, right)];
    return { op: "part", of, from, width, up: sign?.kind === "+:", at };
  }
  return { op: "index", of, index: readExpression(unit, inner), at };
}

/** Every expression of the direct parts that are not keywords or signs. */
function inner(unit: UnitText, node: Cst): Expr[] {
  return node.kids.filter(({ named }) => named).map((kid) => readExpression(unit, kid));
}

function readOperator(unit: UnitText, node: Cst): Expr {
  const at = unit.at(node);
  const { kids } = node;
  if (kids.length === 2 && (kids[0]!.kind === "unary_operator" || !kids[0]!.named)) {
    return { op: "unary", sign: unit.textOf(kids[0]!), of: readExpression(unit, kids[1]!), at };
  }
  if (kids.length === 3 && !kids[1]!.named) {
    const [left, sign, right] = kids as [Cst, Cst, Cst];
    if (left.kind === "(") return readExpression(unit, sign);
    return {
      op: "binary",
      sign: sign.kind,
      left: readExpression(unit, left),
      right: readExpression(unit, right),
      at,
    };
  }
  if (kids.length === 3 && kids[0]!.kind === "(") return readExpression(unit, kids[1]!);
  return { op: "other", what: node.kind, parts: inner(unit, node), at };
}

/** `when ? then : otherwise`, in any of the rules that have it. */
function readChoice(unit: UnitText, node: Cst): Expr | null {
  const asks = node.kids.findIndex(({ kind }) => kind === "?");
  if (asks < 0) return null;
  const values = node.kids.filter(({ named, kind }) => named && kind !== "attribute_instance");
  if (values.length !== 3) return null;
  const [when, taken, otherwise] = values.map((kid) => readExpression(unit, kid)) as [Expr, Expr, Expr];
  return { op: "choose", when, taken, otherwise, at: unit.at(node) };
}

/** A call of a function or a system function. */
function readCall(unit: UnitText, node: Cst): Expr {
  const at = unit.at(node);
  const name = unit.textOf(node.kids[0]!).trim();
  const open = node.kids.findIndex(({ kind }) => kind === "(");
  const args = (open < 0 ? [] : node.kids.slice(open + 1))
    .flatMap((kid) => (kid.kind === "list_of_arguments" ? kid.kids : [kid]))
    .filter(({ named }) => named)
    .map((kid) => readExpression(unit, kid));
  return { op: "call", name, args, at };
}

/** Reads an expression. What the reader does not know is `other`, with the expressions in it. */
export function readExpression(unit: UnitText, node: Cst): Expr {
  const at = unit.at(node);
  switch (node.kind) {
    case "simple_identifier":
    case "escaped_identifier":
      return { op: "name", name: unit.nameOf(node), scope: null, at };
    case "unsigned_number":
    case "decimal_number":
    case "hex_number":
    case "octal_number":
    case "binary_number":
    case "integral_number":
    case "unbased_unsized_literal":
    case "fixed_point_number":
      return { op: "number", ...numberOf(unit.textOf(node)), at };
    case "quoted_string":
    case "string_literal":
      return { op: "string", text: unit.textOf(node).slice(1, -1), at };
    case "hierarchical_identifier":
    case "variable_lvalue":
    case "net_lvalue":
    case "primary":
    case "constant_primary":
    case "method_call":
    case "class_type":
    case "ps_parameter_identifier": {
      const [first] = node.kids;
      if (first?.kind === "(" && node.kids.length === 3) return readExpression(unit, node.kids[1]!);
      if (first?.kind === "{") return { op: "join", parts: inner(unit, node), at };
      if (first?.kind === "concatenation" || first?.kind === "cast") break;
      const selects = readSelects(unit, node);
      if (selects !== null) return selects;
      break;
    }
    case "expression":
    case "constant_expression":
    case "mintypmax_expression":
    case "constant_mintypmax_expression":
    case "conditional_expression":
      return readChoice(unit, node) ?? readOperator(unit, node);
    case "concatenation":
    case "constant_concatenation":
      return { op: "join", parts: inner(unit, node), at };
    case "multiple_concatenation":
    case "constant_multiple_concatenation": {
      const [times, of] = node.kids.filter(({ named }) => named);
      if (times === undefined || of === undefined) break;
      return { op: "repeat", times: readExpression(unit, times), of: readExpression(unit, of), at };
    }
    case "tf_call":
    case "system_tf_call":
      return readCall(unit, node);
    case "cast":
    case "constant_cast": {
      const [to, of] = node.kids.filter(({ named }) => named);
      if (to === undefined || of === undefined) break;
      return { op: "cast", to: castTo(unit, to), of: readExpression(unit, of), at };
    }
    default:
      if (TYPES.has(node.kind)) return { op: "type", type: readType(unit, node), at };
  }
  return { op: "other", what: node.kind, parts: inner(unit, node), at };
}

function castTo(unit: UnitText, to: Cst): Extract<Expr, { op: "cast" }>["to"] {
  const text = unit.textOf(to);
  if (/^(?:signed|unsigned|const)$/.test(text)) return null;
  return TYPES.has(to.kind) && part(to, "::") === null && to.kind !== "casting_type"
    ? readType(unit, to)
    : readExpression(unit, to.kind === "casting_type" ? { ...to, kind: "primary" } : to);
}

/** A data type. `node` may be any of the rules that hold one, dimensions alone included. */
export function readType(unit: UnitText, node: Cst): TypeRef {
  return typeOf({ unit, read: (kid) => readExpression(unit, kid) }, node);
}

/** A declared name with its unpacked dimensions and its first value. */
export function readDeclarator(unit: UnitText, node: Cst): Declarator {
  return declaratorOf({ unit, read: (kid) => readExpression(unit, kid) }, node);
}
