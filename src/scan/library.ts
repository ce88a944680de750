import { BindItems } from "./bind-items.js";
import type { Context } from "./evaluate.js";
import { shapeOfExpr } from "./layout.js";
import { Scope } from "./scope.js";
import type { Item, ModuleText } from "./syntax.js";

/** All that the sources define: modules, packages, and what stands outside of both. */
export class Library implements Context {
  private readonly modules = new Map<string, ModuleText>();
  private readonly packageTexts = new Map<string, ModuleText>();
  private readonly packages = new Map<string, Scope>();
  /** What stands outside of modules. */
  readonly outside = new Scope(null);
  /** Modules whose name was taken; the first of a name counts. */
  readonly repeated: ModuleText[] = [];

  constructor(texts: readonly ModuleText[], outside: readonly Item[]) {
    for (const text of texts) {
      const of = text.sort === "package" ? this.packageTexts : this.modules;
      if (of.has(text.name)) this.repeated.push(text);
      else of.set(text.name, text);
    }
    new BindItems(this).bind(outside, this.outside);
  }

  module(name: string): ModuleText | null {
    return this.modules.get(name) ?? null;
  }

  /** Names of all modules, in the order of the sources; interfaces not among them. */
  moduleNames(): string[] {
    return [...this.modules.values()].filter(({ sort }) => sort === "module").map(({ name }) => name);
  }

  package(name: string): Scope | null {
    const made = this.packages.get(name);
    if (made !== undefined) return made;
    const text = this.packageTexts.get(name);
    if (text === undefined) return null;
    const scope = new Scope(this.outside);
    this.packages.set(name, scope);
    new BindItems(this).bind(text.items, scope);
    return scope;
  }

  bits(of: Parameters<Context["bits"]>[0], scope: Scope): number {
    return shapeOfExpr(of, scope, this).width;
  }
}
