import type { Cst } from "./grammar.js";
import { readDeclarator, readExpression, readType } from "./read-expression.js";
import type { Event, Expr, Stmt } from "./syntax.js";
import type { UnitText } from "./unit-text.js";

/** Rules that are statements, so that they can be told from the expressions beside them. */
const STATEMENTS = new Set([
  "statement",
  "statement_item",
  "statement_or_null",
  "function_statement_or_null",
  "seq_block",
  "par_block",
  "conditional_statement",
  "case_statement",
  "loop_statement",
  "procedural_timing_control_statement",
  "subroutine_call_statement",
  "jump_statement",
  "nonblocking_assignment",
  "blocking_assignment",
  "operator_assignment",
  "inc_or_dec_expression",
  "procedural_continuous_assignment",
  "wait_statement",
  "disable_statement",
  "event_trigger",
  "data_declaration",
  "simple_immediate_assert_statement",
]);

const isStatement = ({ kind }: Cst) => STATEMENTS.has(kind);

/** Reads a statement. What the reader does not know is `other`, with the expressions in it. */
export function readStatement(unit: UnitText, node: Cst): Stmt {
  const at = unit.at(node);
  switch (node.kind) {
    case "statement":
    case "statement_item": {
      const core = node.kids.find(
        ({ named, kind }) => named && kind !== "attribute_instance" && kind !== "simple_identifier",
      );
      const labelled = node.kids.find(isStatement);
      return readStatement(unit, labelled ?? core ?? { ...node, kind: "statement_or_null", kids: [] });
    }
    case "statement_or_null":
    case "function_statement_or_null": {
      const core = node.kids.find(isStatement);
      return core === undefined ? { op: "block", body: [], at } : readStatement(unit, core);
    }
    case "seq_block":
    case "par_block":
      return { op: "block", body: node.kids.filter(isBody).map((kid) => readStatement(unit, kid)), at };
    case "conditional_statement":
      return readIf(unit, node.kids, at);
    case "case_statement":
      return readCase(unit, node);
    case "loop_statement":
      return readLoop(unit, node);
    case "procedural_timing_control_statement": {
      const control = node.kids[0];
      const body = node.kids.find(isStatement);
      const rest: Stmt = body === undefined ? { op: "block", body: [], at } : readStatement(unit, body);
      if (control === undefined || control.kind === "delay_control") return rest;
      return { op: "timed", events: readEvents(unit, control), body: rest, at };
    }
    case "nonblocking_assignment":
    case "blocking_assignment":
    case "operator_assignment":
    case "variable_assignment":
    case "net_assignment":
    case "procedural_continuous_assignment":
      return readAssignment(unit, node);
    case "inc_or_dec_expression": {
      const target = node.kids.find(
        ({ kind }) => kind !== "inc_or_dec_operator" && kind !== "++" && kind !== "--",
      );
      if (target === undefined) break;
      const sign = unit.textOf(node).includes("++") ? "+" : "-";
      const place = readExpression(unit, target);
      const one: Expr = { op: "number", value: 1n, width: null, at };
      return {
        op: "assign",
        target: place,
        value: { op: "binary", sign, left: place, right: one, at },
        blocking: true,
        at,
      };
    }
    case "subroutine_call_statement": {
      const call = node.kids.find(({ named }) => named);
      if (call === undefined) break;
      const read = readExpression(unit, call);
      if (read.op === "call") return { op: "call", name: read.name, args: read.args, at };
      return { op: "other", parts: [read], at };
    }
    case "tf_call":
    case "system_tf_call": {
      const read = readExpression(unit, node);
      if (read.op === "call") return { op: "call", name: read.name, args: read.args, at };
      break;
    }
    case "jump_statement": {
      const value = node.kids.find(({ named }) => named);
      if (node.kids[0]?.kind !== "return") return { op: "other", parts: [], at };
      return { op: "return", value: value === undefined ? null : readExpression(unit, value), at };
    }
    case "data_declaration":
    case "block_item_declaration": {
      const list = node.kids.filter(
        ({ named, kind }) => named && kind !== "lifetime" && kind !== "attribute_instance",
      );
      const [type, ...names] = list;
      if (type === undefined) break;
      const declared = names.flatMap((kid) =>
        kid.kind === "list_of_variable_decl_assignments" ? kid.kids : [kid],
      );
      return {
        op: "locals",
        type: readType(unit, type),
        names: declared.filter(({ named }) => named).map((kid) => readDeclarator(unit, kid)),
        at,
      };
    }
  }
  return {
    op: "other",
    parts: node.kids.filter(({ named }) => named).map((kid) => readExpression(unit, kid)),
    at,
  };
}

/** A part of a block that does something. */
function isBody({ named, kind }: Cst): boolean {
  return named && kind !== "simple_identifier" && kind !== "escaped_identifier" && kind !== "join_keyword";
}

/** `if (a) x else if (b) y else z`, which the grammar has in one row. */
function readIf(unit: UnitText, kids: readonly Cst[], at: number): Stmt {
  const open = kids.findIndex(({ kind }) => kind === "(");
  const close = kids.findIndex(({ kind }, i) => kind === ")" && i > open);
  const when = kids[open + 1];
  const taken = kids[close + 1];
  if (when === undefined || taken === undefined) return { op: "block", body: [], at };
  const rest = kids.slice(close + 2);
  let otherwise: Stmt | null = null;
  if (rest[0]?.kind === "else") {
    const follows = rest[1];
    if (follows?.kind === "if") otherwise = readIf(unit, rest.slice(1), unit.at(follows));
    else if (follows !== undefined) otherwise = readStatement(unit, follows);
  }
  return { op: "if", when: readExpression(unit, when), taken: readStatement(unit, taken), otherwise, at };
}

function readCase(unit: UnitText, node: Cst): Stmt {
  const at = unit.at(node);
  const open = node.kids.findIndex(({ kind }) => kind === "(");
  const on = node.kids[open + 1];
  const keyword = node.kids.slice(0, Math.max(0, open)).map((kid) => unit.textOf(kid));
  const inside = node.kids.some(({ kind }) => kind === "inside" || kind === "matches");
  const arms = node.kids
    .filter(({ kind }) => /^case_(?:inside_|pattern_)?item$/.test(kind))
    .map((item) => {
      const colon = item.kids.findIndex(({ kind }) => kind === ":");
      const standard = item.kids[0]?.kind === "default";
      const labels = item.kids.slice(0, Math.max(0, colon)).filter(({ named }) => named);
      const body = item.kids
        .slice(standard && colon < 0 ? 1 : colon + 1)
        .find(({ named, kind }) => named || kind === ";");
      const empty: Stmt = { op: "block", body: [], at: unit.at(item) };
      return {
        labels: standard ? null : labels.map((label) => readExpression(unit, label)),
        body: body === undefined || body.kind === ";" ? empty : readStatement(unit, body),
      };
    });
  if (on === undefined) return { op: "block", body: [], at };
  const wild = inside || keyword.some((word) => word === "casez" || word === "casex");
  return { op: "case", on: readExpression(unit, on), wild, arms, at };
}

/** Name and first value of a loop's variable, and its next value. */
export function readLoopHead(
  unit: UnitText,
  kids: readonly Cst[],
): { readonly name: string; readonly from: Expr; readonly when: Expr; readonly next: Expr } | null {
  const open = kids.findIndex(({ kind }) => kind === "(");
  const inside = kids.slice(open + 1);
  const [start, when, step] = inside.filter(({ named }) => named);
  if (start === undefined || when === undefined || step === undefined) return null;
  const equals = start.kids.findIndex(({ kind }) => kind === "=");
  const named = start.kids[equals - 1];
  const from = start.kids[equals + 1];
  if (equals < 1 || named === undefined || from === undefined) return null;
  const next = readStep(unit, step);
  if (next === null) return null;
  return {
    name: unit.nameOf(named),
    from: readExpression(unit, from),
    when: readExpression(unit, when),
    next,
  };
}

/** The value that `i = i + 1`, `i += 1` or `i++` gives its variable. */
function readStep(unit: UnitText, step: Cst): Expr | null {
  const text = unit.textOf(step);
  const at = unit.at(step);
  const one: Expr = { op: "number", value: 1n, width: null, at };
  const unary = /^\s*(?:(\+\+|--)\s*([\w$]+)|([\w$]+)\s*(\+\+|--))\s*$/.exec(text);
  if (unary !== null) {
    const left: Expr = { op: "name", name: (unary[2] ?? unary[3])!, scope: null, at };
    return { op: "binary", sign: (unary[1] ?? unary[4])![0]!, left, right: one, at };
  }
  const read = readStatement(
    unit,
    step.kind === "genvar_iteration" ? { ...step, kind: "operator_assignment" } : step,
  );
  return read.op === "assign" ? read.value : null;
}

function readLoop(unit: UnitText, node: Cst): Stmt {
  const at = unit.at(node);
  const sort = node.kids[0]?.kind;
  const last = node.kids.filter(isStatement).at(-1);
  const body: Stmt = last === undefined ? { op: "block", body: [], at } : readStatement(unit, last);
  if (sort === "for") {
    const head = readLoopHead(unit, node.kids);
    if (head !== null) return { op: "for", ...head, body, at };
    return { op: "loop", sort: "while", when: null, body, at };
  }
  if (sort === "foreach") {
    const [array, ...names] = node.kids
      .flatMap((kid) => (kid.kind === "loop_variables" ? kid.kids : [kid]))
      .filter(({ kind }) => kind === "simple_identifier")
      .map((kid) => unit.nameOf(kid));
    return { op: "foreach", array: array ?? "", names, body, at };
  }
  const kind = sort === "repeat" || sort === "forever" || sort === "do" ? sort : "while";
  const open = node.kids.findIndex((kid) => kid.kind === "(");
  const when = open < 0 ? undefined : node.kids[open + 1];
  return { op: "loop", sort: kind, when: when === undefined ? null : readExpression(unit, when), body, at };
}

const ASSIGNS = /^(?:assignment_operator|=|<=|[-+*/%&|^]=|<<<?=|>>>?=)$/;

function readAssignment(unit: UnitText, node: Cst): Stmt {
  const at = unit.at(node);
  const sign = node.kids.findIndex(({ kind }, i) => i > 0 && ASSIGNS.test(kind));
  const place = node.kids.slice(0, Math.max(0, sign)).find(({ named }) => named);
  const given = node.kids
    .slice(sign + 1)
    .filter(
      ({ named, kind }) =>
        named && !/^(?:delay|event|delay_or_event)_control|^delay3$|^clocking_event$/.test(kind),
    )
    .at(-1);
  if (sign < 0 || place === undefined || given === undefined) {
    const nested = node.kids.find(isStatement);
    if (nested !== undefined) return readStatement(unit, nested);
    return {
      op: "other",
      parts: node.kids.filter(({ named }) => named).map((kid) => readExpression(unit, kid)),
      at,
    };
  }
  const text = unit.textOf(node.kids[sign]!);
  const target = readExpression(unit, place);
  const value = readExpression(unit, given);
  const blocking = text !== "<=";
  if (text === "=" || text === "<=") return { op: "assign", target, value, blocking, at };
  return {
    op: "assign",
    target,
    value: { op: "binary", sign: text.slice(0, -1), left: target, right: value, at },
    blocking,
    at,
  };
}

/** What an event control waits for. */
export function readEvents(unit: UnitText, node: Cst): Event[] {
  const events: Event[] = [];
  const visit = (kid: Cst, inside: boolean): void => {
    if (kid.kind === "event_expression" || kid.kind === "clocking_event" || kid.kind === "event_control") {
      const edge = kid.kids.find(({ kind }) => kind === "edge_identifier");
      const signals = kid.kids.filter(({ named, kind }) => named && kind !== "edge_identifier");
      if (edge !== undefined) {
        const word = unit.textOf(edge) as "posedge" | "negedge" | "edge";
        const signal = signals[0];
        events.push({ edge: word, signal: signal === undefined ? null : readExpression(unit, signal) });
        return;
      }
      for (const each of signals) visit(each, true);
      if (kid.kids.some(({ kind }) => kind === "*" || kind === "@*"))
        events.push({ edge: null, signal: null });
      return;
    }
    if (inside) events.push({ edge: null, signal: readExpression(unit, kid) });
  };
  visit(node, false);
  return events.length > 0 ? events : [{ edge: null, signal: null }];
}
