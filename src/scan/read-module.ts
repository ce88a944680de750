import type { Node } from "web-tree-sitter";
import { type Cst, part, parts, plain } from "./grammar.js";
import { readDeclarator, readExpression, readType } from "./read-expression.js";
import { readLoopHead, readStatement } from "./read-statement.js";
import type {
  Block,
  Connection,
  Direction,
  Expr,
  Item,
  Lazy,
  ModuleText,
  Override,
  Process,
  Routine,
  Stmt,
  TypeRef,
} from "./syntax.js";
import type { UnitText } from "./unit-text.js";

const SORTS = {
  module_declaration: "module",
  interface_declaration: "interface",
  package_declaration: "package",
} as const;

/** The design units among the top nodes of a unit. */
export function readModules(unit: UnitText, root: Node): ModuleText[] {
  const modules: ModuleText[] = [];
  for (const node of root.namedChildren) {
    if (node === null) continue;
    if (node.type in SORTS) modules.push(readModule(unit, node, SORTS[node.type as keyof typeof SORTS]));
    // A part that the grammar lost may still hold whole modules.
    else if (node.type === "ERROR") modules.push(...readModules(unit, node));
  }
  return modules;
}

/** Typedefs, parameters and routines that stand outside of every module. */
export function readOutside(unit: UnitText, root: Node): Item[] {
  const items: Item[] = [];
  for (const node of root.namedChildren) {
    if (node === null || node.type in SORTS || !/declaration|package_item/.test(node.type)) continue;
    items.push(...readItem(unit, plain(node)));
  }
  return items;
}

function readModule(unit: UnitText, node: Node, sort: ModuleText["sort"]): ModuleText {
  const items: Item[] = [];
  const ports: string[] = [];
  let name = "";
  const readChild = (kid: Cst): void => {
    if (/_(?:ansi|nonansi)_header$/.test(kid.kind)) {
      const header = readHeader(unit, kid);
      name = header.name;
      ports.push(...header.ports);
      items.push(...header.items);
    } else if (kid.kind === "simple_identifier" && name === "") name = unit.nameOf(kid);
    else items.push(...readItem(unit, kid));
  };
  for (const child of node.namedChildren) {
    if (child === null) continue;
    if (LAZY.has(child.type)) {
      items.push(lazyItem(unit, child));
      continue;
    }
    try {
      readChild(plain(child));
    } catch (error) {
      // The stack of calls is full.
      if (!(error instanceof RangeError)) throw error;
      items.push({ item: "too-deep", at: unit.at({ start: child.startIndex }) });
    }
  }
  return { sort, name, ports, items, at: unit.at({ start: node.startIndex }) };
}

/** Items that are read only when something in them matters. */
const LAZY = new Set(["always_construct", "continuous_assign", "initial_construct"]);

function lazyItem(unit: UnitText, node: Node): Item {
  const range = { start: node.startIndex, end: node.endIndex };
  return { item: "process", process: lazily(unit, range, () => plain(node)), at: unit.at(range) };
}

function lazily(
  unit: UnitText,
  range: { readonly start: number; readonly end: number },
  get: () => Cst,
): Lazy {
  let read: Process | null = null;
  return {
    words: unit.wordsOf(range),
    get: () => {
      read ??= readProcess(unit, get());
      return read;
    },
    at: unit.at(range),
  };
}

function readProcess(unit: UnitText, node: Cst): Process {
  const at = unit.at(node);
  if (node.kind === "continuous_assign") {
    const body = node.kids
      .flatMap((kid) =>
        kid.kind === "list_of_net_assignments" || kid.kind === "list_of_variable_assignments"
          ? kid.kids
          : [kid],
      )
      .filter(({ kind }) => kind === "net_assignment" || kind === "variable_assignment")
      .map((kid) => readStatement(unit, kid));
    return { sort: "assign", body: { op: "block", body, at }, at };
  }
  const word = unit.textOf(node.kids[0] ?? node);
  const sort = /^(?:always_ff|always_comb|always_latch|initial)$/.exec(word)?.[0] ?? "always";
  const statement = node.kids.slice(1).find(({ named }) => named);
  const empty: Stmt = { op: "block", body: [], at };
  const body = statement === undefined ? empty : readStatement(unit, statement);
  return { sort: sort as Process["sort"], body, at };
}

interface Header {
  readonly name: string;
  readonly ports: readonly string[];
  readonly items: readonly Item[];
}

function readHeader(unit: UnitText, header: Cst): Header {
  const named = header.kids.find(({ kind }) => kind === "simple_identifier" || kind === "escaped_identifier");
  const items: Item[] = [];
  const ports: string[] = [];
  for (const kid of header.kids) {
    if (kid.kind === "parameter_port_list") items.push(...readParameterPorts(unit, kid));
    else if (kid.kind === "package_import_declaration") items.push(...readItem(unit, kid));
    else if (kid.kind === "list_of_ports") {
      for (const port of kid.kids)
        if (port.named) ports.push(unit.nameOf(port.kids.find((k) => k.named) ?? port));
    } else if (kid.kind === "list_of_port_declarations") {
      for (const port of readAnsiPorts(unit, kid)) {
        ports.push(port.name);
        items.push(port);
      }
    }
  }
  return { name: named === undefined ? "" : unit.nameOf(named), ports, items };
}

/** Parameters of a header; one without a keyword goes on as the one before it. */
function readParameterPorts(unit: UnitText, list: Cst): Item[] {
  let local = false;
  return list.kids
    .filter(({ named }) => named)
    .flatMap((kid) => {
      if (kid.kind === "parameter_declaration") local = false;
      else if (kid.kind === "local_parameter_declaration") local = true;
      return readParameters(unit, kid, local);
    });
}

function readParameters(unit: UnitText, node: Cst, local: boolean): Item[] {
  const type = parameterType(unit, node);
  const found: Item[] = [];
  const visit = (kid: Cst): void => {
    const at = unit.at(kid);
    if (kid.kind === "param_assignment") {
      const { name, unpacked, value } = readDeclarator(unit, kid);
      found.push({ item: "parameter", name, local, type, unpacked, value, at });
    } else if (kid.kind === "type_assignment") {
      const [name, value] = kid.kids.filter(({ named }) => named);
      if (name === undefined) return;
      const to = value === undefined ? null : readType(unit, value);
      found.push({ item: "type-parameter", name: unit.nameOf(name), local, value: to, at });
    } else for (const inner of kid.kids) visit(inner);
  };
  visit(node);
  return found;
}

function parameterType(unit: UnitText, node: Cst): TypeRef | null {
  const type = part(
    node,
    "data_type",
    "integer_vector_type",
    "integer_atom_type",
    "packed_dimension",
    "class_type",
    "implicit_data_type",
  );
  return type === null ? null : readType(unit, type);
}

function directionOf(unit: UnitText, node: Cst): Direction | null {
  const text = unit.textOf(node);
  return text === "input" || text === "output" || text === "inout" ? text : null;
}

/** Ports declared in the header; one without a direction goes on as the one before it. */
function readAnsiPorts(unit: UnitText, list: Cst): Extract<Item, { item: "port" }>[] {
  let direction: Direction = "inout";
  let type: TypeRef | null = null;
  return parts(list, "ansi_port_declaration", "simple_identifier").map((port) => {
    const at = unit.at(port);
    const names = port.kids.filter(
      ({ kind }) => kind === "simple_identifier" || kind === "escaped_identifier",
    );
    const name = unit.nameOf(port.kids.length === 0 ? port : (names.at(-1) ?? port));
    const header = port.kids.find(({ kind }) => /port_header$|^port_direction$/.test(kind));
    if (header !== undefined) {
      const said = header.kind === "port_direction" ? header : part(header, "port_direction");
      const found = directionOf(unit, said ?? header);
      if (found !== null) direction = found;
      const typed = header.kids.find(({ named, kind }) => named && kind !== "port_direction");
      type = typed === undefined ? null : portType(unit, typed);
    }
    return { item: "port", name, direction, type, at };
  });
}

function portType(unit: UnitText, node: Cst): TypeRef {
  const inner = node.kids.find(
    ({ kind }) => kind === "packed_dimension" || kind === "data_type" || kind === "implicit_data_type",
  );
  if (/port_type$/.test(node.kind) && inner !== undefined)
    return readType(unit, inner.kind === "packed_dimension" ? node : inner);
  return readType(unit, node);
}

/** Reads an item of a module, a package or a generate block; none where it says nothing about memories. */
function readItem(unit: UnitText, node: Cst): Item[] {
  const at = unit.at(node);
  switch (node.kind) {
    case "module_item":
    case "package_item":
    case "generate_region":
      return node.kids.filter(({ named }) => named).flatMap((kid) => readItem(unit, kid));
    case "parameter_declaration":
      return readParameters(unit, node, false);
    case "local_parameter_declaration":
      return readParameters(unit, node, true);
    case "type_declaration":
      return readTypedef(unit, node);
    case "data_declaration":
    case "net_declaration":
      return readVariables(unit, node);
    case "input_declaration":
    case "output_declaration":
    case "inout_declaration":
      return readPorts(unit, node);
    case "package_import_declaration":
      return parts(node, "package_import_item").map((item) => {
        const [scope, , name] = item.kids.map((kid) => unit.textOf(kid));
        return { item: "import", scope: scope ?? "", name: name ?? "*", at };
      });
    case "always_construct":
    case "continuous_assign":
    case "initial_construct":
      return [{ item: "process", process: lazily(unit, node, () => node), at }];
    case "module_instantiation":
    case "interface_instantiation":
    case "program_instantiation":
    case "checker_instantiation":
    case "udp_instantiation":
      return readInstances(unit, node);
    case "loop_generate_construct": {
      const head = readLoopHead(unit, node.kids);
      const body = node.kids.at(-1);
      if (head === null || body === undefined) return [];
      return [{ item: "for", ...head, body: readBlock(unit, body), at }];
    }
    case "if_generate_construct":
      return readGenerateIf(unit, node.kids, at);
    case "case_generate_construct":
      return readGenerateCase(unit, node);
    case "generate_block":
      return [{ item: "block", body: readBlock(unit, node), at }];
    case "function_declaration":
    case "task_declaration": {
      const routine = readRoutine(unit, node);
      return routine === null ? [] : [{ item: "routine", routine, at }];
    }
    case "parameter_override":
      return [{ item: "defparam", at }];
    default:
      return [];
  }
}

function readTypedef(unit: UnitText, node: Cst): Item[] {
  const kids = node.kids.filter(({ named }) => named);
  const [type, name, ...rest] = kids;
  if (type === undefined || name === undefined) return [];
  const { unpacked } = readDeclarator(unit, { ...node, kids: [name, ...rest] });
  return [
    { item: "typedef", name: unit.nameOf(name), type: readType(unit, type), unpacked, at: unit.at(node) },
  ];
}

const DECLARATORS = new Set([
  "simple_identifier",
  "escaped_identifier",
  "variable_decl_assignment",
  "net_decl_assignment",
]);

function readVariables(unit: UnitText, node: Cst): Item[] {
  const at = unit.at(node);
  const kids = node.kids.filter(
    ({ named, kind }) =>
      named && !/^(?:lifetime|attribute_instance|delay3|drive_strength|charge_strength)$/.test(kind),
  );
  const wire = node.kids.some(({ kind }) => kind === "net_type");
  const first = kids[0];
  if (first === undefined) return [];
  if (first.kind === "type_declaration" || first.kind === "package_import_declaration")
    return readItem(unit, first);
  const typed = kids.slice(wire ? 1 : 0);
  const hasType =
    typed[0] !== undefined &&
    (!DECLARATORS.has(typed[0].kind) || isTypeName(typed)) &&
    !/^list_of/.test(typed[0].kind);
  const written = hasType ? typed[0]! : first;
  // `wire [7:0]` has its dimensions beside the net type; `wire signed` has a word more.
  const type = readType(unit, written);
  const dimensions = hasType ? typed.slice(1).filter(({ kind }) => kind === "packed_dimension") : [];
  const packed = [...type.packed, ...dimensions.flatMap((kid) => readType(unit, kid).packed)];
  const names = typed
    .slice(hasType ? 1 : 0)
    .flatMap((kid) => (/^list_of_/.test(kid.kind) ? kid.kids : [kid]))
    .filter(({ kind }) => DECLARATORS.has(kind))
    .map((kid) => readDeclarator(unit, kid));
  const net = node.kind === "net_declaration" && wire;
  return [{ item: "variables", type: { ...type, packed }, names, net, at }];
}

/** True where the first of two names is that of the type. */
function isTypeName([first, second]: readonly Cst[]): boolean {
  return (
    first?.kind === "simple_identifier" &&
    second !== undefined &&
    (DECLARATORS.has(second.kind) || /^list_of/.test(second.kind))
  );
}

function readPorts(unit: UnitText, node: Cst): Item[] {
  const at = unit.at(node);
  const direction = node.kind.split("_")[0] as Direction;
  const kids = node.kids.filter(({ named, kind }) => named && kind !== "attribute_instance");
  const type = kids.find(({ kind }) => !DECLARATORS.has(kind) && !/^list_of/.test(kind));
  const names = kids
    .flatMap((kid) => (/^list_of/.test(kid.kind) ? kid.kids : [kid]))
    .filter(({ kind }) => /identifier$|_assignment$/.test(kind));
  const of = type === undefined ? null : readType(unit, type);
  return names.map((kid) => ({
    item: "port",
    name: unit.nameOf(kid.kids[0] ?? kid),
    direction,
    type: of,
    at,
  }));
}

function readInstances(unit: UnitText, node: Cst): Item[] {
  const at = unit.at(node);
  const module = node.kids.find(({ kind }) => kind === "simple_identifier" || kind === "escaped_identifier");
  if (module === undefined) return [];
  const values = part(node, "parameter_value_assignment");
  const names = parts(node, "hierarchical_instance").map((instance) => {
    const [head] = instance.kids;
    const held = head?.kind === "name_of_instance" ? head : null;
    const label = held?.kids[0] ?? head;
    return {
      name: label === undefined ? "" : unit.nameOf(label),
      dimensions: held === null ? [] : readDeclarator(unit, held).unpacked,
      connections: readConnections(unit, instance),
    };
  });
  const overrides = values === null ? [] : readOverrides(unit, values);
  return [
    { item: "instances", module: unit.nameOf(module), overrides, names, words: unit.wordsOf(node), at },
  ];
}

function readOverrides(unit: UnitText, node: Cst): Override[] {
  return node.kids
    .flatMap((kid) => (kid.kind === "list_of_parameter_value_assignments" ? kid.kids : [kid]))
    .filter(({ named }) => named)
    .map((kid) => {
      if (kid.kind !== "named_parameter_assignment") return { name: null, value: readExpression(unit, kid) };
      const [name, value] = kid.kids.filter(({ named }) => named);
      return {
        name: name === undefined ? null : unit.nameOf(name),
        value: value === undefined ? null : readExpression(unit, value),
      };
    });
}

function readConnections(unit: UnitText, instance: Cst): Connection[] {
  const open = instance.kids.findIndex(({ kind }) => kind === "(");
  const list = instance.kids
    .slice(open + 1)
    .flatMap((kid) => (kid.kind === "list_of_port_connections" ? kid.kids : [kid]));
  const found: Connection[] = [];
  let open_ = true;
  for (const kid of list) {
    const at = unit.at(kid);
    if (kid.kind === "," || kid.kind === ")") {
      if (open_ && (kid.kind === "," || found.length > 0)) found.push({ port: null, value: null, at });
      open_ = true;
      if (kid.kind === ")") break;
      continue;
    }
    open_ = false;
    if (kid.kind !== "named_port_connection") {
      found.push({ port: null, value: readExpression(unit, kid), at });
      continue;
    }
    if (kid.kids.some(({ kind }) => kind === ".*")) {
      found.push({ port: "*", value: null, at });
      continue;
    }
    const [port, value] = kid.kids.filter(({ named, kind }) => named && kind !== "attribute_instance");
    if (port === undefined) continue;
    const name = unit.nameOf(port);
    const brackets = kid.kids.some(({ kind }) => kind === "(");
    const implied: Expr = { op: "name", name, scope: null, at };
    found.push({
      port: name,
      value: value !== undefined ? readExpression(unit, value) : brackets ? null : implied,
      at,
    });
  }
  return found;
}

/** A generate block, with or without `begin` and `end`. */
function readBlock(unit: UnitText, node: Cst): Block {
  if (node.kind !== "generate_block") return { name: null, items: readItem(unit, node) };
  const begin = node.kids.findIndex(({ kind }) => kind === "begin");
  const label =
    node.kids[begin + 1]?.kind === ":"
      ? node.kids[begin + 2]
      : node.kids[1]?.kind === ":"
        ? node.kids[0]
        : undefined;
  const items = node.kids.filter((kid) => kid.named && kid !== label).flatMap((kid) => readItem(unit, kid));
  return { name: label === undefined ? null : unit.nameOf(label), items };
}

function readGenerateIf(unit: UnitText, kids: readonly Cst[], at: number): Item[] {
  const open = kids.findIndex(({ kind }) => kind === "(");
  const close = kids.findIndex(({ kind }, i) => kind === ")" && i > open);
  const when = kids[open + 1];
  const taken = kids[close + 1];
  if (when === undefined || taken === undefined) return [];
  const otherwise = kids[close + 2]?.kind === "else" ? kids[close + 3] : undefined;
  return [
    {
      item: "if",
      when: readExpression(unit, when),
      taken: taken.named ? readBlock(unit, taken) : { name: null, items: [] },
      otherwise: otherwise?.named ? readBlock(unit, otherwise) : null,
      at,
    },
  ];
}

function readGenerateCase(unit: UnitText, node: Cst): Item[] {
  const open = node.kids.findIndex(({ kind }) => kind === "(");
  const on = node.kids[open + 1];
  if (on === undefined) return [];
  const arms = parts(node, "case_generate_item").map((item) => {
    const colon = item.kids.findIndex(({ kind }) => kind === ":");
    const standard = item.kids[0]?.kind === "default";
    const body = item.kids.at(-1);
    const labels = item.kids.slice(0, Math.max(0, colon)).filter(({ named }) => named);
    const block: Block = body?.named ? readBlock(unit, body) : { name: null, items: [] };
    return { labels: standard ? null : labels.map((label) => readExpression(unit, label)), body: block };
  });
  return [{ item: "case", on: readExpression(unit, on), arms, at: unit.at(node) }];
}

const IN_ROUTINES = new Set(["tf_port_item", "tf_port_declaration", "tf_port_list"]);

function readRoutine(unit: UnitText, node: Cst): Routine | null {
  const body = part(node, "function_body_declaration", "task_body_declaration");
  if (body === null) return null;
  const sort = node.kind === "task_declaration" ? "task" : "function";
  // The name is the last identifier before the ports or the first semicolon.
  const stop = body.kids.findIndex(({ kind }) => kind === "(" || kind === ";");
  const head = body.kids.slice(0, stop < 0 ? body.kids.length : stop);
  const named = head
    .filter(({ kind }) => kind === "simple_identifier" || kind === "escaped_identifier")
    .at(-1);
  if (named === undefined) return null;
  const formals: string[] = [];
  const statements: Stmt[] = [];
  for (const kid of body.kids.slice(stop)) {
    if (!kid.named) continue;
    if (IN_ROUTINES.has(kid.kind)) formals.push(...formalsIn(unit, kid));
    else if (kid.kind !== "simple_identifier") statements.push(readStatement(unit, kid));
    else if (!/^\s*:/.test(unit.textOf({ start: kid.start - 2, end: kid.start })))
      formals.push(unit.nameOf(kid));
  }
  return { sort, name: unit.nameOf(named), formals, body: statements, at: unit.at(node) };
}

function formalsIn(unit: UnitText, node: Cst): string[] {
  if (node.kind === "tf_port_list")
    return node.kids.filter(({ named }) => named).flatMap((kid) => formalsIn(unit, kid));
  if (node.kind === "simple_identifier") return [unit.nameOf(node)];
  const lists = node.kids.flatMap((kid) => (/^list_of/.test(kid.kind) ? kid.kids : [kid]));
  const names = lists.filter(
    ({ kind }) => kind === "simple_identifier" || kind === "variable_decl_assignment",
  );
  if (node.kind === "tf_port_declaration") return names.map((kid) => unit.nameOf(kid.kids[0] ?? kid));
  const last = names.at(-1);
  return last === undefined ? [] : [unit.nameOf(last.kids[0] ?? last)];
}
