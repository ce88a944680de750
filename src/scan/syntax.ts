/**
 * Hardware sources as data, cut to what says something about memories. `at` is an offset in the text of all units (see
 * source-map.ts).
 */

/** A constant, or null where it has x or z bits; `width` in bits, null where the text gives none. */
export interface NumberExpr {
  readonly op: "number";
  readonly value: bigint | null;
  readonly width: number | null;
  readonly at: number;
}

/** A name alone; `scope` is the package of `scope::name`. */
export interface NameExpr {
  readonly op: "name";
  readonly name: string;
  readonly scope: string | null;
  readonly at: number;
}

export type Expr =
  | NumberExpr
  | NameExpr
  /** `of[index]`. */
  | { readonly op: "index"; readonly of: Expr; readonly index: Expr; readonly at: number }
  /** `of[msb:lsb]`. */
  | { readonly op: "range"; readonly of: Expr; readonly msb: Expr; readonly lsb: Expr; readonly at: number }
  /** `of[from +: width]`, or `-:` where not `up`. */
  | {
      readonly op: "part";
      readonly of: Expr;
      readonly from: Expr;
      readonly width: Expr;
      readonly up: boolean;
      readonly at: number;
    }
  | { readonly op: "member"; readonly of: Expr; readonly name: string; readonly at: number }
  | { readonly op: "unary"; readonly sign: string; readonly of: Expr; readonly at: number }
  | {
      readonly op: "binary";
      readonly sign: string;
      readonly left: Expr;
      readonly right: Expr;
      readonly at: number;
    }
  | {
      readonly op: "choose";
      readonly when: Expr;
      readonly taken: Expr;
      readonly otherwise: Expr;
      readonly at: number;
    }
  | { readonly op: "join"; readonly parts: readonly Expr[]; readonly at: number }
  | { readonly op: "repeat"; readonly times: Expr; readonly of: Expr; readonly at: number }
  | { readonly op: "call"; readonly name: string; readonly args: readonly Expr[]; readonly at: number }
  /** `to'(of)`; `to` null where it only changes the sign. */
  | { readonly op: "cast"; readonly to: Expr | TypeRef | null; readonly of: Expr; readonly at: number }
  | { readonly op: "string"; readonly text: string; readonly at: number }
  /** A data type where a value may stand, as in `$bits(type)`. */
  | { readonly op: "type"; readonly type: TypeRef; readonly at: number }
  /** Anything else; what stands in it. */
  | { readonly op: "other"; readonly what: string; readonly parts: readonly Expr[]; readonly at: number };

/** `[left:right]`; with `right` null `[left]`, a count of elements. */
export interface Dimension {
  readonly left: Expr;
  readonly right: Expr | null;
}

/** A data type as written. */
export interface TypeRef {
  readonly is: "type";
  readonly base:
    | { readonly sort: "bits" }
    /** `int`, `byte` and so on: that many bits. */
    | { readonly sort: "integer"; readonly width: number }
    | { readonly sort: "named"; readonly name: string; readonly scope: string | null }
    | {
        readonly sort: "struct";
        readonly union: boolean;
        readonly packed: boolean;
        readonly fields: readonly Field[];
      }
    | { readonly sort: "enum"; readonly of: TypeRef | null; readonly names: readonly EnumName[] }
    | { readonly sort: "other"; readonly what: string };
  /** Packed dimensions, outermost first. */
  readonly packed: readonly Dimension[];
  readonly at: number;
}

export interface Field {
  readonly name: string;
  readonly type: TypeRef;
  readonly unpacked: readonly Dimension[];
}

export interface EnumName {
  readonly name: string;
  readonly value: Expr | null;
}

/** A variable or a net. */
export interface Declarator {
  readonly name: string;
  readonly unpacked: readonly Dimension[];
  /** True for a queue, an associative or a dynamic array. */
  readonly growing: boolean;
  readonly value: Expr | null;
  readonly at: number;
}

export type Stmt =
  | { readonly op: "block"; readonly body: readonly Stmt[]; readonly at: number }
  | {
      readonly op: "if";
      readonly when: Expr;
      readonly taken: Stmt;
      readonly otherwise: Stmt | null;
      readonly at: number;
    }
  | {
      readonly op: "case";
      readonly on: Expr;
      /** True where labels may have wildcards or ranges. */
      readonly wild: boolean;
      /** `labels` null: default. */
      readonly arms: readonly { readonly labels: readonly Expr[] | null; readonly body: Stmt }[];
      readonly at: number;
    }
  | {
      readonly op: "for";
      readonly name: string;
      readonly from: Expr;
      readonly when: Expr;
      readonly next: Expr;
      readonly body: Stmt;
      readonly at: number;
    }
  /** `foreach`, with the array's name and its loop variables. */
  | {
      readonly op: "foreach";
      readonly array: string;
      readonly names: readonly string[];
      readonly body: Stmt;
      readonly at: number;
    }
  /** `while`, `repeat`, `forever`. */
  | {
      readonly op: "loop";
      readonly sort: "while" | "repeat" | "forever" | "do";
      readonly when: Expr | null;
      readonly body: Stmt;
      readonly at: number;
    }
  | {
      readonly op: "assign";
      readonly target: Expr;
      readonly value: Expr;
      readonly blocking: boolean;
      readonly at: number;
    }
  | { readonly op: "call"; readonly name: string; readonly args: readonly Expr[]; readonly at: number }
  | {
      readonly op: "locals";
      readonly names: readonly Declarator[];
      readonly type: TypeRef | null;
      readonly at: number;
    }
  | { readonly op: "timed"; readonly events: readonly Event[]; readonly body: Stmt; readonly at: number }
  | { readonly op: "return"; readonly value: Expr | null; readonly at: number }
  | { readonly op: "other"; readonly parts: readonly Expr[]; readonly at: number };

/** What a process waits for; `edge` null: any change. */
export interface Event {
  readonly edge: "posedge" | "negedge" | "edge" | null;
  /** null: everything that it reads. */
  readonly signal: Expr | null;
}

/** A function or a task. */
export interface Routine {
  readonly sort: "function" | "task";
  readonly name: string;
  readonly formals: readonly string[];
  readonly body: readonly Stmt[];
  readonly at: number;
}

export interface Connection {
  /** Port name; null where it goes by place; `*` for `.*`. */
  readonly port: string | null;
  /** null where it is open. */
  readonly value: Expr | null;
  readonly at: number;
}

/** A parameter override; `name` null where it goes by place. */
export interface Override {
  readonly name: string | null;
  readonly value: Expr | null;
}

/** A process or an assignment whose text is read only when something in it matters. */
export interface Lazy {
  /** Every identifier in its text. */
  readonly words: ReadonlySet<string>;
  /** What it says. */
  readonly get: () => Process;
  readonly at: number;
}

export interface Process {
  readonly sort: "always" | "always_ff" | "always_comb" | "always_latch" | "initial" | "assign";
  readonly body: Stmt;
  readonly at: number;
}

export type Item =
  | {
      readonly item: "parameter";
      readonly name: string;
      readonly local: boolean;
      readonly type: TypeRef | null;
      readonly unpacked: readonly Dimension[];
      readonly value: Expr | null;
      readonly at: number;
    }
  | {
      readonly item: "type-parameter";
      readonly name: string;
      readonly local: boolean;
      readonly value: TypeRef | null;
      readonly at: number;
    }
  | {
      readonly item: "typedef";
      readonly name: string;
      readonly type: TypeRef;
      readonly unpacked: readonly Dimension[];
      readonly at: number;
    }
  | {
      readonly item: "variables";
      readonly type: TypeRef;
      readonly names: readonly Declarator[];
      readonly net: boolean;
      readonly at: number;
    }
  | {
      readonly item: "port";
      readonly name: string;
      readonly direction: Direction;
      readonly type: TypeRef | null;
      readonly at: number;
    }
  | { readonly item: "process"; readonly process: Lazy; readonly at: number }
  | {
      readonly item: "instances";
      readonly module: string;
      readonly overrides: readonly Override[];
      readonly names: readonly {
        readonly name: string;
        readonly dimensions: readonly Dimension[];
        readonly connections: readonly Connection[];
      }[];
      readonly words: ReadonlySet<string>;
      readonly at: number;
    }
  | {
      readonly item: "for";
      readonly name: string;
      readonly from: Expr;
      readonly when: Expr;
      readonly next: Expr;
      readonly body: Block;
      readonly at: number;
    }
  | {
      readonly item: "if";
      readonly when: Expr;
      readonly taken: Block;
      readonly otherwise: Block | null;
      readonly at: number;
    }
  | {
      readonly item: "case";
      readonly on: Expr;
      readonly arms: readonly { readonly labels: readonly Expr[] | null; readonly body: Block }[];
      readonly at: number;
    }
  | { readonly item: "block"; readonly body: Block; readonly at: number }
  | { readonly item: "routine"; readonly routine: Routine; readonly at: number }
  | { readonly item: "import"; readonly scope: string; readonly name: string; readonly at: number }
  | { readonly item: "defparam"; readonly at: number }
  /** Nested too deep to be read. */
  | { readonly item: "too-deep"; readonly at: number };

export type Direction = "input" | "output" | "inout";

/** A generate block; `name` null where it has none. */
export interface Block {
  readonly name: string | null;
  readonly items: readonly Item[];
}

/** A module, an interface or a package. */
export interface ModuleText {
  readonly sort: "module" | "interface" | "package";
  readonly name: string;
  /** Ports in order, where the header lists them. */
  readonly ports: readonly string[];
  readonly items: readonly Item[];
  readonly at: number;
}
