import type { Context } from "./evaluate.js";
import type { Scope } from "./scope.js";
import type { Expr, Item, TypeRef } from "./syntax.js";

/** What an instance gives a parameter: a value or a type, read where the instance stands. */
export interface Given {
  readonly value: Expr | null;
  readonly type: TypeRef | null;
  readonly scope: Scope;
}

/** Makes the names of items known in a scope, whatever their order. Arrays and instances are bound elsewhere. */
export class BindItems {
  constructor(private readonly context: Context) {}

  /** `given`: overrides by parameter name; a local parameter has none. */
  bind(items: readonly Item[], scope: Scope, given: ReadonlyMap<string, Given> = new Map()): void {
    for (const item of items) this.bindOne(item, scope, given);
  }

  private bindOne(item: Item, scope: Scope, given: ReadonlyMap<string, Given>): void {
    switch (item.item) {
      case "import": {
        const from = this.context.package(item.scope);
        if (from !== null) scope.import(from, item.name);
        return;
      }
      case "parameter": {
        const over = item.local ? undefined : given.get(item.name);
        scope.bind(item.name, {
          is: "parameter",
          expr: over?.value ?? item.value,
          type: item.type,
          scope: over === undefined ? scope : over.scope,
          value: null,
          busy: false,
        });
        return;
      }
      case "type-parameter": {
        const over = item.local ? undefined : given.get(item.name);
        const type = over?.type ?? item.value;
        if (type === null) return;
        this.bindType(item.name, type, scope, over === undefined ? scope : over.scope);
        return;
      }
      case "typedef":
        scope.bind(item.name, {
          is: "type",
          type: item.type,
          unpacked: item.unpacked,
          scope,
          shape: null,
          busy: false,
        });
        this.bindEnum(item.type, scope);
        return;
      case "variables":
        this.bindEnum(item.type, scope);
        for (const { name } of item.names) {
          const known = scope.own(name);
          const direction = known?.is === "signal" ? known.direction : null;
          scope.bind(name, { is: "signal", type: item.type, id: scope.path + name, scope, direction });
        }
        return;
      case "port": {
        const known = scope.own(item.name);
        if (known?.is === "signal") known.direction = item.direction;
        else {
          const id = scope.path + item.name;
          scope.bind(item.name, { is: "signal", type: item.type, id, scope, direction: item.direction });
        }
        return;
      }
      case "routine":
        scope.bind(item.routine.name, { is: "routine", routine: item.routine, scope });
        return;
      case "instances":
        for (const { name } of item.names) scope.bind(name, { is: "instance", module: item.module });
        return;
    }
  }

  private bindType(name: string, type: TypeRef, scope: Scope, from: Scope): void {
    scope.bind(name, { is: "type", type, unpacked: [], scope: from, shape: null, busy: false });
  }

  /** The names of an enumeration: each one more than the one before it where it has no value. */
  private bindEnum({ base }: TypeRef, scope: Scope): void {
    if (base.sort !== "enum") return;
    let before: Expr | null = null;
    for (const { name, value } of base.names) {
      const at: number = value?.at ?? 0;
      const one: Expr = { op: "number", value: before === null ? 0n : 1n, width: null, at };
      const next: Expr = before === null ? one : { op: "binary", sign: "+", left: before, right: one, at };
      scope.bind(name, { is: "parameter", expr: value ?? next, type: null, scope, value: null, busy: false });
      before = { op: "name", name, scope: null, at };
    }
  }
}
