import type { ArrayFound } from "./array-found.js";
import type { Shape } from "./shape.js";
import type { Dimension, Direction, Expr, Routine, TypeRef } from "./syntax.js";

/** What a name stands for. Values and types are worked out when they are first asked for. */
export type Binding =
  /** A parameter, or a name of an enumeration. `value` null: not worked out yet. */
  | {
      readonly is: "parameter";
      readonly expr: Expr | null;
      readonly type: TypeRef | null;
      /** Where `expr` and `type` are read; an override is read where the instance stands. */
      readonly scope: Scope;
      value: bigint | null;
      busy: boolean;
    }
  /** A loop variable of a known value. */
  | { readonly is: "constant"; readonly value: bigint }
  | {
      readonly is: "type";
      readonly type: TypeRef;
      readonly unpacked: readonly Dimension[];
      readonly scope: Scope;
      shape: Shape | null;
      busy: boolean;
    }
  | { readonly is: "array"; readonly array: ArrayFound }
  | {
      readonly is: "signal";
      /** null: one bit, or not known. */
      readonly type: TypeRef | null;
      /** Its id: the same for the same signal, and for no other of the module. */
      readonly id: string;
      readonly scope: Scope;
      direction: Direction | null;
    }
  | { readonly is: "routine"; readonly routine: Routine; readonly scope: Scope }
  | { readonly is: "instance"; readonly module: string };

/** Names that are seen from a place: a module, a generate block, a package, one round of a loop. */
export class Scope {
  private readonly names = new Map<string, Binding>();
  private readonly imports: { readonly from: Scope; readonly name: string }[] = [];
  /** Generate blocks by label, `label[3]` for those of a loop. */
  readonly blocks = new Map<string, Scope>();

  constructor(
    readonly parent: Scope | null,
    /** Label seen from the module, with a dot at its end; "" for the module itself. */
    readonly path: string = parent?.path ?? "",
  ) {}

  bind(name: string, binding: Binding): void {
    this.names.set(name, binding);
  }

  /** Makes a name of a package visible, or all of them for `*`. */
  import(from: Scope, name: string): void {
    this.imports.push({ from, name });
  }

  /** What a name of this scope itself stands for. */
  own(name: string): Binding | null {
    return this.names.get(name) ?? null;
  }

  /** What a name stands for here; null where it is not known. */
  find(name: string): Binding | null {
    for (let scope: Scope | null = this; scope !== null; scope = scope.parent) {
      const found = scope.names.get(name) ?? scope.imported(name);
      if (found !== null) return found;
    }
    return null;
  }

  private imported(name: string): Binding | null {
    for (const { from, name: only } of this.imports) {
      if (only !== "*" && only !== name) continue;
      const found = from.names.get(name);
      if (found !== undefined) return found;
    }
    return null;
  }

  /** A generate block that is seen from here. */
  findBlock(label: string): Scope | null {
    for (let scope: Scope | null = this; scope !== null; scope = scope.parent) {
      const found = scope.blocks.get(label);
      if (found !== undefined) return found;
    }
    return null;
  }
}
