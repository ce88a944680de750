import type { Parser } from "web-tree-sitter";
import type { Source } from "../input/index.js";
import { parseUnit } from "./grammar.js";
import { type Directives, preprocess } from "./preprocess.js";
import { readModules, readOutside } from "./read-module.js";
import { type Note, noteAt, SourceMap } from "./source-map.js";
import type { Item, ModuleText } from "./syntax.js";
import { UnitText } from "./unit-text.js";

/** Sources that were read. */
export interface SourcesRead {
  readonly modules: readonly ModuleText[];
  readonly outside: readonly Item[];
  readonly map: SourceMap;
  /** What could not be read, in the order of the files. */
  readonly notes: readonly Note[];
  /** Ends the life of the trees. Processes are read only until then. */
  readonly free: () => void;
}

/** Most unread parts of one unit that are told one by one. */
const MOST_TOLD = 20;

/** Preprocesses and parses units in order; macros of one are known in those after it. */
export function readSources(parser: Parser, units: readonly Source[], directives: Directives): SourcesRead {
  const map = new SourceMap();
  const notes: Note[] = [];
  const modules: ModuleText[] = [];
  const outside: Item[] = [];
  const frees: (() => void)[] = [];
  let base = 0;
  for (const source of units) {
    const text = preprocess(source, base, directives, map, notes);
    const parsed = parseUnit(parser, text);
    frees.push(parsed.free);
    const unit = new UnitText(text, base);
    if (parsed.root.hasError) {
      const errors = errorsIn(parsed.root);
      for (const { start, end, missing } of errors.slice(0, MOST_TOLD)) {
        const shown = text.slice(start, end).trim().split("\n")[0]!.slice(0, 40);
        const message =
          missing !== null
            ? `expected ${JSON.stringify(missing)} here; the parser went on without it`
            : `this part is not read, nor any memory in it: expected SystemVerilog, found ${JSON.stringify(shown)}`;
        notes.push(
          noteAt(map.placeOf(base + start), Math.max(1, Math.min(end - start, 60)), "hdl-syntax", message),
        );
      }
      if (errors.length > MOST_TOLD) {
        const message = `${errors.length - MOST_TOLD} more parts of this file are not read`;
        notes.push(noteAt(map.placeOf(base + errors[MOST_TOLD]!.start), 1, "hdl-syntax", message));
      }
    }
    for (const { start, what } of unfollowed(parsed.root)) {
      notes.push(
        noteAt(map.placeOf(base + start), 1, "hdl-syntax", `${what}: memories in it are not looked for`),
      );
    }
    modules.push(...readModules(unit, parsed.root));
    outside.push(...readOutside(unit, parsed.root));
    // A gap keeps the end of one unit apart from the start of the next.
    base += text.length + 1;
  }
  const free = () => {
    for (const each of frees) each();
  };
  return { modules, outside, map, notes, free };
}

/** What stands beside modules and may hold or change memories, but is not followed. */
const UNFOLLOWED: Readonly<Record<string, string>> = {
  interface_declaration: "an interface",
  class_declaration: "a class",
  program_declaration: "a program",
  checker_declaration: "a checker",
  bind_directive: "a bind directive",
};

/** The outermost parts of a unit that are not followed, in order, those in compilation-unit items included. */
function unfollowed(root: ReturnType<typeof parseUnit>["root"]): { start: number; what: string }[] {
  return root.namedChildren.flatMap((node) => {
    if (node === null) return [];
    const what = UNFOLLOWED[node.type];
    if (what !== undefined) return [{ start: node.startIndex, what }];
    return /^(?:package_item|description|package_or_generate_item_declaration)/.test(node.type)
      ? unfollowed(node)
      : [];
  });
}

interface Unparsed {
  readonly start: number;
  readonly end: number;
  /** The token that is missing; null where there is too much. */
  readonly missing: string | null;
}

/** The outermost parts that the grammar does not have, in order. */
function errorsIn(root: ReturnType<typeof parseUnit>["root"]): Unparsed[] {
  const found: Unparsed[] = [];
  const cursor = root.walk();
  const visit = (): void => {
    if (cursor.nodeIsMissing) {
      found.push({ start: cursor.startIndex, end: cursor.endIndex, missing: cursor.nodeType });
      return;
    }
    if (cursor.nodeType === "ERROR") {
      const { startIndex: start, endIndex: end } = cursor;
      found.push({ start, end: Math.max(end, start + 1), missing: null });
      return;
    }
    if (!cursor.currentNode.hasError || !cursor.gotoFirstChild()) return;
    do visit();
    while (cursor.gotoNextSibling());
    cursor.gotoParent();
  };
  visit();
  cursor.delete();
  return found;
}
