import { figure } from "../model/words.js";
import type { ArrayFound } from "./array-found.js";
import { BindItems, type Given } from "./bind-items.js";
import { evaluate, NotConstant } from "./evaluate.js";
import { extentOf, shapeOf } from "./layout.js";
import type { Library } from "./library.js";
import type { Question } from "./question.js";
import { Scope } from "./scope.js";
import type {
  Block,
  Connection,
  Declarator,
  Dimension,
  Expr,
  Item,
  Lazy,
  ModuleText,
  Override,
  TypeRef,
} from "./syntax.js";

/** A process or an assignment where it stands. */
export interface ProcessFound {
  readonly process: Lazy;
  readonly scope: Scope;
}

/** A declaration with a value, which is an assignment too. */
export interface DrivenFound {
  readonly name: string;
  readonly value: Expr;
  readonly net: boolean;
  readonly scope: Scope;
  readonly words: ReadonlySet<string>;
}

/** An instance, or a row of equal ones. */
export interface InstanceFound {
  readonly name: string;
  /** null where no source has the module. */
  readonly module: Elaborated | null;
  readonly count: number;
  readonly connections: readonly Connection[];
  readonly scope: Scope;
  readonly words: ReadonlySet<string>;
  readonly at: number;
}

/** A module with its parameters settled: the same for all instances that give them the same values. */
export interface Elaborated {
  readonly text: ModuleText;
  /** Overridden parameters, as `name=value`. */
  readonly parameters: readonly string[];
  readonly scope: Scope;
  readonly arrays: readonly ArrayFound[];
  /** Arrays whose size is not known. */
  readonly unsized: readonly { readonly path: string; readonly question: Question }[];
  readonly processes: readonly ProcessFound[];
  readonly driven: readonly DrivenFound[];
  readonly instances: readonly InstanceFound[];
  readonly questions: readonly Question[];
}

/** Most rounds of generate loops in one module. */
const MOST_ROUNDS = 65_536;
/** Deepest hierarchy. */
const MOST_DEEP = 200;

interface Making {
  readonly arrays: ArrayFound[];
  readonly unsized: { readonly path: string; readonly question: Question }[];
  readonly processes: ProcessFound[];
  readonly driven: DrivenFound[];
  readonly instances: InstanceFound[];
  readonly questions: Question[];
  rounds: number;
}

/** Settles the parameters of a hierarchy. Instances with equal parameters share one {@link Elaborated}. */
export class Elaborator {
  private readonly made = new Map<string, Elaborated>();
  private readonly unknown = new Set<string>();
  private readonly open = new Set<Elaborated>();
  private depth = 0;

  constructor(private readonly library: Library) {}

  /** All modules that were settled, callers before what they call. */
  all(): Elaborated[] {
    return [...this.made.values()];
  }

  /** A module with overrides; `overrides` are read in `from`. Null where no source has the module. */
  elaborate(
    name: string,
    overrides: readonly Override[] = [],
    from: Scope = this.library.outside,
  ): Elaborated | null {
    const text = this.library.module(name);
    if (text === null) return null;
    const given = this.givenOf(text, overrides, from);
    const key = this.keyOf(text, given);
    const known = this.made.get(key);
    if (known !== undefined) return this.open.has(known) ? null : known;
    if (this.depth >= MOST_DEEP) return null;
    this.depth++;
    try {
      return this.make(text, given, key);
    } finally {
      this.depth--;
    }
  }

  /** Overrides by parameter name; those by place go to the parameters that are not local, in order. */
  private givenOf(text: ModuleText, overrides: readonly Override[], from: Scope): Map<string, Given> {
    const open = text.items.flatMap((item) =>
      (item.item === "parameter" || item.item === "type-parameter") && !item.local ? [item] : [],
    );
    const given = new Map<string, Given>();
    overrides.forEach(({ name, value }, place) => {
      const parameter = name === null ? open[place] : open.find((each) => each.name === name);
      if (parameter === undefined || value === null) return;
      given.set(parameter.name, { value, type: typeIn(value), scope: from });
    });
    return given;
  }

  /** Module and settled values; a value that is no constant is told apart by where it is written. */
  private keyOf(text: ModuleText, given: ReadonlyMap<string, Given>): string {
    const parts = [...given].map(([name, { value, type, scope }]) => {
      try {
        if (type !== null && value?.op !== "name")
          return `${name}=${JSON.stringify(shapeKey(shapeOf(type, scope, this.library)))}`;
        if (value !== null) return `${name}=${evaluate(value, scope, this.library)}`;
      } catch (error) {
        if (!(error instanceof NotConstant)) throw error;
        try {
          if (type !== null) return `${name}=${JSON.stringify(shapeKey(shapeOf(type, scope, this.library)))}`;
        } catch {
          // Told apart by its place below.
        }
      }
      return `${name}=@${value?.at ?? 0}${scope.path}`;
    });
    return [text.name, ...parts.sort()].join(" ");
  }

  private make(text: ModuleText, given: ReadonlyMap<string, Given>, key: string): Elaborated {
    const scope = new Scope(this.library.outside, "");
    const making: Making = {
      arrays: [],
      unsized: [],
      processes: [],
      driven: [],
      instances: [],
      questions: [],
      rounds: 0,
    };
    const elaborated: Elaborated = {
      text,
      parameters: key.split(" ").slice(1),
      scope,
      arrays: making.arrays,
      unsized: making.unsized,
      processes: making.processes,
      driven: making.driven,
      instances: making.instances,
      questions: making.questions,
    };
    this.made.set(key, elaborated);
    this.open.add(elaborated);
    new BindItems(this.library).bind(text.items, scope, given);
    this.items(text.items, scope, making);
    this.open.delete(elaborated);
    return elaborated;
  }

  private ask(making: Making, code: Question["code"], at: number, text: string): void {
    making.questions.push({ code, at, text });
  }

  private items(items: readonly Item[], scope: Scope, making: Making): void {
    let blocks = 0;
    for (const item of items) {
      if (item.item === "for" || item.item === "if" || item.item === "case" || item.item === "block")
        blocks++;
      this.itemIn(item, scope, making, `genblk${blocks}`);
    }
  }

  private itemIn(item: Item, scope: Scope, making: Making, standard: string): void {
    switch (item.item) {
      case "variables":
        for (const name of item.names) this.declare(name, item.type, item.net, scope, making);
        return;
      case "parameter":
        if (item.unpacked.length > 0) {
          const { name, unpacked, value, at } = item;
          const type = item.type ?? { is: "type", base: { sort: "integer", width: 32 }, packed: [], at };
          this.declare({ name, unpacked, growing: false, value, at }, type, false, scope, making);
        }
        return;
      case "process":
        making.processes.push({ process: item.process, scope });
        return;
      case "instances":
        this.instances(item, scope, making);
        return;
      case "defparam":
        this.ask(
          making,
          "defparam",
          item.at,
          "a parameter is set with defparam here, which is not followed: is it one of a memory's size?",
        );
        return;
      case "too-deep":
        this.ask(
          making,
          "hidden-access",
          item.at,
          "this is nested too deep to be read and is left out: is there a memory in it?",
        );
        return;
      case "block":
        this.block(item.body, item.body.name ?? standard, scope, making);
        return;
      case "if": {
        const when = this.constant(item.when, scope, making, "the condition of this generate block");
        if (when === null) return;
        const taken = when !== 0n ? item.taken : item.otherwise;
        if (taken !== null) this.block(taken, taken.name ?? standard, scope, making);
        return;
      }
      case "case": {
        const on = this.constant(item.on, scope, making, "the selector of this generate block");
        if (on === null) return;
        const matches = (labels: readonly Expr[] | null) =>
          labels?.some((label) => this.constant(label, scope, making, "this label") === on) ?? false;
        const arm =
          item.arms.find(({ labels }) => matches(labels)) ?? item.arms.find(({ labels }) => labels === null);
        if (arm !== undefined) this.block(arm.body, arm.body.name ?? standard, scope, making);
        return;
      }
      case "for":
        this.loop(item, scope, making, standard);
        return;
    }
  }

  private constant(expr: Expr, scope: Scope, making: Making, what: string): bigint | null {
    try {
      return evaluate(expr, scope, this.library);
    } catch (error) {
      if (!(error instanceof NotConstant)) throw error;
      this.ask(
        making,
        "not-constant",
        error.at,
        `${what} is no known constant (${error.message}); it is left out: what is it?`,
      );
      return null;
    }
  }

  private block(
    block: Block,
    label: string,
    around: Scope,
    making: Making,
    round: Readonly<[string, bigint]> | null = null,
  ): void {
    const place = round === null ? label : `${label}[${round[1]}]`;
    // A block without a name in a condition adds none to the path either: names in it are told apart by the label.
    const scope = new Scope(around, `${around.path}${place}.`);
    around.blocks.set(place, scope);
    if (round !== null) scope.bind(round[0], { is: "constant", value: round[1] });
    new BindItems(this.library).bind(block.items, scope);
    this.items(block.items, scope, making);
  }

  private loop(item: Extract<Item, { item: "for" }>, scope: Scope, making: Making, standard: string): void {
    const what = "a bound of this generate loop";
    let value = this.constant(item.from, scope, making, what);
    while (value !== null) {
      const head = new Scope(scope);
      head.bind(item.name, { is: "constant", value });
      const goes = this.constant(item.when, head, making, what);
      if (goes === null || goes === 0n) return;
      if (++making.rounds > MOST_ROUNDS) {
        this.ask(
          making,
          "not-constant",
          item.at,
          `this generate loop takes more than ${figure(MOST_ROUNDS)} rounds; the rest is left out: does it end?`,
        );
        return;
      }
      this.block(item.body, item.body.name ?? standard, scope, making, [item.name, value]);
      value = this.constant(item.next, head, making, what);
    }
  }

  /** A variable, a net or a parameter; one with unpacked dimensions is an array. */
  private declare(declared: Declarator, type: TypeRef, net: boolean, scope: Scope, making: Making): void {
    const { name, growing, value, at } = declared;
    const named = type.base.sort === "named" ? this.typeNamed(type.base.name, type.base.scope, scope) : null;
    const fromType = named !== null && type.packed.length === 0 ? named.unpacked : [];
    if (value !== null) {
      making.driven.push({ name, value, net, scope, words: wordsIn(value) });
    }
    if (growing || (declared.unpacked.length === 0 && fromType.length === 0)) return;
    const path = scope.path + name;
    if (type.base.sort === "other") return;
    try {
      const extents = [
        ...declared.unpacked.map((each) => this.extent(each, scope)),
        ...fromType.map((each) => this.extent(each, named?.scope ?? scope)),
      ];
      const word =
        named !== null && fromType.length > 0
          ? shapeOf(named.type, named.scope, this.library)
          : shapeOf(type, scope, this.library);
      const array = { path, extents, word, valued: value !== null, net, at };
      making.arrays.push(array);
      scope.bind(name, { is: "array", array });
    } catch (error) {
      if (!(error instanceof NotConstant)) throw error;
      const text = `the size of ${path} is no known constant (${error.message}); it is left out: what is it?`;
      making.unsized.push({ path, question: { code: "not-constant", at, text } });
    }
  }

  private extent(dimension: Dimension, scope: Scope) {
    const { size, low } = extentOf(dimension, scope, this.library);
    return { size, low };
  }

  private typeNamed(name: string, from: string | null, scope: Scope) {
    const binding = from === null ? scope.find(name) : this.library.package(from)?.own(name);
    return binding?.is === "type" ? binding : null;
  }

  private instances(item: Extract<Item, { item: "instances" }>, scope: Scope, making: Making): void {
    const module = this.elaborate(item.module, item.overrides, scope);
    if (module === null && this.library.module(item.module) !== null) {
      const text = `${item.module} is an instance of itself, or more than ${MOST_DEEP} levels deep; the rest is left out: does it end?`;
      this.ask(making, "not-constant", item.at, text);
    } else if (module === null && !this.unknown.has(item.module)) {
      this.unknown.add(item.module);
      this.ask(
        making,
        "unknown-module",
        item.at,
        `no source has the module ${item.module}: are there memories in it?`,
      );
    }
    for (const { name, dimensions, connections } of item.names) {
      let count = 1;
      for (const dimension of dimensions) {
        try {
          count *= extentOf(dimension, scope, this.library).size;
        } catch (error) {
          if (!(error instanceof NotConstant)) throw error;
          this.ask(
            making,
            "not-constant",
            item.at,
            `how many instances ${name} has is no known constant (${error.message}); counted as 1: how many are there?`,
          );
        }
      }
      const { words, at } = item;
      making.instances.push({ name: scope.path + name, module, count, connections, scope, words, at });
    }
  }
}

function typeIn(value: Expr): TypeRef | null {
  if (value.op === "type") return value.type;
  if (value.op === "name") {
    return {
      is: "type",
      base: { sort: "named", name: value.name, scope: value.scope },
      packed: [],
      at: value.at,
    };
  }
  return null;
}

/** A layout as plain data, for comparing. */
function shapeKey(shape: ReturnType<typeof shapeOf>): unknown {
  const { width, elements, fields } = shape;
  return [
    width,
    elements === null ? null : [elements.size, elements.low, elements.falling, shapeKey(elements.of)],
    fields === null ? null : [...fields].map(([name, { low, shape: of }]) => [name, low, shapeKey(of)]),
  ];
}

/** Every name in an expression or in statements. */
export function wordsIn(syntax: unknown): Set<string> {
  const words = new Set<string>();
  const visit = (value: unknown): void => {
    if (Array.isArray(value)) for (const each of value) visit(each);
    else if (typeof value === "object" && value !== null) {
      const { op, name } = value as { op?: unknown; name?: unknown };
      if ((op === "name" || op === "member" || op === "call") && typeof name === "string") words.add(name);
      for (const each of Object.values(value)) visit(each);
    }
  };
  visit(syntax);
  return words;
}
