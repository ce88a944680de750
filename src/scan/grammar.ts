import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import type { Node, Parser, TreeCursor } from "web-tree-sitter";
import { NoGrammarError } from "./no-grammar.js";

/** A part of a source as the grammar (IEEE 1800) sees it. Nodes that hold one named node and nothing else are left out. */
export interface Cst {
  /** Name of the rule, or the text of a keyword or sign. */
  readonly kind: string;
  /** True for a rule, false for a keyword or sign. */
  readonly named: boolean;
  /** Offsets in the text of the unit. */
  readonly start: number;
  readonly end: number;
  readonly kids: readonly Cst[];
}

/** A unit that was parsed. `text` is what offsets count in. */
export interface ParsedUnit {
  readonly text: string;
  readonly root: Node;
  /** Ends the life of the tree in the parser's memory. */
  readonly free: () => void;
}

let loaded: Promise<Parser> | null = null;

/** The parser, loaded once. Throws {@link NoGrammarError}. */
export function loadParser(): Promise<Parser> {
  loaded ??= load();
  return loaded;
}

async function load(): Promise<Parser> {
  const require = createRequire(import.meta.url);
  let path: string;
  try {
    path = require.resolve("tree-sitter-systemverilog/tree-sitter-systemverilog.wasm");
  } catch {
    loaded = null;
    throw new NoGrammarError();
  }
  const { Language, Parser } = await import("web-tree-sitter");
  await Parser.init();
  const language = await Language.load(readFileSync(path));
  const parser = new Parser();
  parser.setLanguage(language);
  return parser;
}

/** Parses a text. Never fails on what stands in it: parts that the grammar does not have are nodes of kind `ERROR`. */
export function parseUnit(parser: Parser, text: string): ParsedUnit {
  const tree = parser.parse(text);
  if (tree === null) throw new Error("the parser gave up without a reason");
  return { text, root: tree.rootNode, free: () => tree.delete() };
}

/** Rules that stay even where they hold one named node alone: readers look for them. */
const KEPT = new Set([
  "variable_decl_assignment",
  "net_decl_assignment",
  "list_of_variable_decl_assignments",
  "list_of_net_decl_assignments",
  "list_of_param_assignments",
  "list_of_parameter_value_assignments",
  "list_of_port_declarations",
  "list_of_ports",
  "list_of_port_connections",
  "list_of_arguments",
  "generate_region",
  "module_declaration",
  "module_nonansi_header",
  "module_ansi_header",
  "ERROR",
]);

/** A node and all that is under it as plain data, without comments. */
export function plain(node: Node): Cst {
  const cursor = node.walk();
  const result = plainAt(cursor);
  cursor.delete();
  return result;
}

function plainAt(cursor: TreeCursor): Cst {
  const kind = cursor.nodeType;
  const named = cursor.nodeIsNamed;
  const kids: Cst[] = [];
  if (cursor.gotoFirstChild()) {
    do {
      const type = cursor.nodeType;
      if (type !== "one_line_comment" && type !== "block_comment" && type !== "comment") {
        kids.push(plainAt(cursor));
      }
    } while (cursor.gotoNextSibling());
    cursor.gotoParent();
  }
  const only = kids[0];
  if (kids.length === 1 && only?.named && !KEPT.has(kind)) return only;
  return { kind, named, start: cursor.startIndex, end: cursor.endIndex, kids };
}

/** The first part of a kind that is a direct part of a node. */
export function part(of: Cst, ...kinds: readonly string[]): Cst | null {
  return of.kids.find(({ kind }) => kinds.includes(kind)) ?? null;
}

/** All direct parts of a kind; those of a list of them too, and the node itself where it is one. */
export function parts(of: Cst, ...kinds: readonly string[]): Cst[] {
  return of.kids.filter(({ kind }) => kinds.includes(kind));
}
