import { type Cst, part, parts } from "./grammar.js";
import type { Declarator, Dimension, EnumName, Expr, Field, TypeRef } from "./syntax.js";
import type { UnitText } from "./unit-text.js";

/** A unit, and what reads its expressions. */
export interface Reading {
  readonly unit: UnitText;
  readonly read: (node: Cst) => Expr;
}

/** Bits of the types that have a width of their own (IEEE 1800-2017, table 6-8). */
const ATOMS: Readonly<Record<string, number>> = {
  byte: 8,
  shortint: 16,
  int: 32,
  integer: 32,
  longint: 64,
  time: 64,
};

const DIMENSIONS = new Set(["packed_dimension", "unpacked_dimension", "constant_range"]);

/** `[7:0]` or `[8]`; null for `[]`, `[$]` and `[type]`. */
function readDimension(reading: Reading, node: Cst): Dimension | null {
  const inside = node.kids.filter(({ named }) => named)[0];
  if (inside === undefined) return null;
  if (inside.kind === "constant_range") {
    const [left, right] = inside.kids.filter(({ named }) => named);
    if (left === undefined || right === undefined) return null;
    return { left: reading.read(left), right: reading.read(right) };
  }
  return { left: reading.read(inside), right: null };
}

/** The dimensions among a node's parts. */
function dimensionsIn(reading: Reading, node: Cst, kind: string): Dimension[] {
  return parts(node, kind)
    .map((kid) => readDimension(reading, kid))
    .filter((dimension) => dimension !== null);
}

/** The declared name, its unpacked dimensions and its first value. */
export function declaratorOf(reading: Reading, node: Cst): Declarator {
  const at = reading.unit.at(node);
  if (node.kids.length === 0) {
    return { name: reading.unit.nameOf(node), unpacked: [], growing: false, value: null, at };
  }
  const equals = node.kids.findIndex(({ kind }) => kind === "=");
  const value = equals < 0 ? undefined : node.kids[equals + 1];
  return {
    name: reading.unit.nameOf(node.kids[0]!),
    unpacked: dimensionsIn(reading, node, "unpacked_dimension"),
    growing: part(node, "queue_dimension", "associative_dimension", "unsized_dimension") !== null,
    value: value === undefined ? null : reading.read(value),
    at,
  };
}

function readFields(reading: Reading, node: Cst): Field[] {
  return parts(node, "struct_union_member").flatMap((member) => {
    const kids = member.kids.filter(({ named, kind }) => named && kind !== "attribute_instance");
    const [type, ...names] = kids;
    if (type === undefined) return [];
    return names
      .flatMap((kid) => (kid.kind === "list_of_variable_decl_assignments" ? kid.kids : [kid]))
      .filter(({ named }) => named)
      .map((kid) => {
        const { name, unpacked } = declaratorOf(reading, kid);
        return { name, type: typeOf(reading, type), unpacked };
      });
  });
}

function readEnumNames(reading: Reading, node: Cst): EnumName[] {
  const open = node.kids.findIndex(({ kind }) => kind === "{");
  return node.kids
    .slice(open + 1)
    .filter(({ kind }) => kind === "enum_name_declaration" || kind === "simple_identifier")
    .map((kid) => {
      if (kid.kids.length === 0) return { name: reading.unit.nameOf(kid), value: null };
      const equals = kid.kids.findIndex(({ kind }) => kind === "=");
      const value = equals < 0 ? undefined : kid.kids[equals + 1];
      return {
        name: reading.unit.nameOf(kid.kids[0]!),
        value: value === undefined ? null : reading.read(value),
      };
    });
}

/** A data type. `node` may be any of the rules that hold one, dimensions alone included. */
export function typeOf(reading: Reading, node: Cst): TypeRef {
  const at = reading.unit.at(node);
  const packed =
    node.kind === "packed_dimension"
      ? rangeAlone(reading, node)
      : dimensionsIn(reading, node, "packed_dimension");
  return { is: "type", base: baseOf(reading, node), packed, at };
}

function rangeAlone(reading: Reading, node: Cst): Dimension[] {
  const dimension = readDimension(reading, node);
  return dimension === null ? [] : [dimension];
}

function baseOf(reading: Reading, node: Cst): TypeRef["base"] {
  if (DIMENSIONS.has(node.kind)) return { sort: "bits" };
  if (node.kind === "simple_identifier")
    return { sort: "named", name: reading.unit.nameOf(node), scope: null };
  if (node.kind === "class_type" || node.kind === "method_call") {
    const names = node.kids
      .filter(({ kind }) => kind === "simple_identifier")
      .map((kid) => reading.unit.nameOf(kid));
    const [scope = null, name] = names.length > 1 ? names : [null, names[0]];
    return name === undefined
      ? { sort: "other", what: reading.unit.textOf(node) }
      : { sort: "named", name, scope };
  }
  if (node.kind === "integer_atom_type") {
    return { sort: "integer", width: ATOMS[reading.unit.textOf(node).split(/\s/)[0]!] ?? 32 };
  }
  if (node.kind === "integer_vector_type" || node.kind === "net_type") return { sort: "bits" };
  if (part(node, "enum") !== null) {
    const of = part(node, "enum_base_type", "integer_vector_type", "integer_atom_type", "simple_identifier");
    const before = of !== null && of.start < (part(node, "{")?.start ?? 0) ? of : null;
    return {
      sort: "enum",
      of: before === null ? null : typeOf(reading, before),
      names: readEnumNames(reading, node),
    };
  }
  const struct = part(node, "struct_union");
  const keyword = struct ?? part(node, "struct", "union");
  if (keyword !== null) {
    const union = reading.unit.textOf(keyword).startsWith("union");
    return {
      sort: "struct",
      union,
      packed: part(node, "packed") !== null,
      fields: readFields(reading, node),
    };
  }
  const first = node.kids.find(
    ({ named, kind }) => named && kind !== "packed_dimension" && kind !== "signing",
  );
  if (first !== undefined && node.kind !== "non_integer_type") return baseOf(reading, first);
  const holdsBits =
    node.kids.length > 0 &&
    node.kids.every(({ kind }) => /^(?:packed_dimension|signing|signed|unsigned)$/.test(kind));
  return holdsBits ? { sort: "bits" } : { sort: "other", what: reading.unit.textOf(node) };
}
