import type { ArrayFound } from "./array-found.js";
import { type InstanceFound, wordsIn } from "./elaborate.js";
import type { Path } from "./path.js";
import type { Question } from "./question.js";
import { type Bits, type Reference, referenceOf } from "./reference.js";
import type { Scope } from "./scope.js";
import { type Signals, targetsOf } from "./signals.js";
import type { Expr, Routine } from "./syntax.js";
import type { Step, Timing } from "./walk.js";

interface Place {
  readonly indexes: readonly Expr[];
  /** Constant indexes that were taken off, as `[2]`, where the array is split into banks; null: it is not. */
  readonly bank: string | null;
  readonly bits: Bits;
  readonly path: Path | null;
  readonly scope: Scope;
  readonly timing: Timing;
  readonly at: number;
}

/** A write of a word or of a part of one. */
export interface Write extends Place {
  readonly value: Expr;
  readonly step: Step & { readonly does: "assign" };
}

/** A read of a word or of a part of one. */
export interface Read extends Place {
  /**
   * Where the word goes as it is, by way of nothing but selection, joining and conditions; null where it goes through
   * logic first.
   */
  readonly into: { readonly target: Expr; readonly blocking: boolean } | null;
  /** The write to the same array whose value this read is a part of; null: none. */
  readonly within: Step | null;
}

/** Something that is done to an array but is no access of one word by a process. */
export interface Oddity {
  readonly what: "whole" | "routine-read" | "routine-write" | "instance-write";
  readonly name: string;
  readonly at: number;
}

/** Everything that a module does to one of its arrays. */
export interface Accesses {
  readonly writes: Write[];
  readonly reads: Read[];
  readonly oddities: Oddity[];
  /** What could not be told of the processes that have it in them. */
  readonly questions: Question[];
  /** Where it gets its first contents; a file's name where there is one. */
  readonly contents: { readonly file: string | null; readonly at: number }[];
}

const INITIALISERS = /^\$readmem[bh]$/;

/** What is done to each array of a module. */
export function accessesOf(signals: Signals): Map<ArrayFound, Accesses> {
  return new Collector(signals).collect();
}

class Collector {
  private readonly found = new Map<ArrayFound, Accesses>();
  private readonly words = new Set<string>();

  constructor(private readonly signals: Signals) {}

  collect(): Map<ArrayFound, Accesses> {
    const { module } = this.signals;
    for (const array of module.arrays) {
      this.found.set(array, { writes: [], reads: [], oddities: [], questions: [], contents: [] });
      this.words.add(lastName(array.path));
    }
    const seen = new Set([...this.words].flatMap((word) => this.signals.processesWith(word)));
    for (const process of module.processes) {
      if (!seen.has(process)) continue;
      const { timing, steps, questions } = this.signals.walked(process);
      for (const step of steps) this.step(step, timing);
      if (questions.length === 0 || timing.sort === "initial") continue;
      for (const [{ path }, found] of this.found) {
        if (process.process.words.has(lastName(path))) found.questions.push(...questions);
      }
    }
    for (const word of this.words) {
      for (const { value, net, scope, name } of this.signals.drivenWith(word)) {
        if (name === word || !net) continue;
        const target: Expr = { op: "name", name, scope: null, at: value.at };
        const into = { target, blocking: true };
        this.reads(value, {
          path: null,
          scope,
          timing: { sort: "combinational" },
          into,
          within: null,
          at: value.at,
        });
      }
    }
    const near = new Set([...this.words].flatMap((word) => this.signals.instancesWith(word)));
    for (const instance of near) this.instance(instance);
    const routines = module.text.items.flatMap((item) => (item.item === "routine" ? [item.routine] : []));
    for (const routine of routines) {
      const words = wordsIn(routine.body);
      for (const word of this.words) if (words.has(word)) this.routine(routine, word);
    }
    for (const [array, { contents }] of this.found) {
      if (array.valued) contents.push({ file: null, at: array.at });
    }
    return this.found;
  }

  private reference(expr: Expr, scope: Scope): Reference | null {
    const reference = referenceOf(expr, scope, this.signals.library);
    return reference !== null && this.found.has(reference.array) ? reference : null;
  }

  private step(step: Step, timing: Timing): void {
    if (step.does === "call") {
      this.call(step, timing);
      return;
    }
    const { path, scope, at } = step;
    if (step.does === "look") {
      if (timing.sort !== "initial")
        this.reads(step.value, { path, scope, timing, into: null, within: null, at });
      return;
    }
    let within: Step | null = null;
    const targets = targetsOf(step.target);
    for (const target of targets) {
      const reference = this.reference(target, scope);
      if (reference === null) {
        this.selectReads(target, { path, scope, timing, into: null, within: null, at });
        continue;
      }
      const { array, indexes, bits } = reference;
      const found = this.found.get(array)!;
      if (timing.sort === "initial") {
        found.contents.push({ file: null, at });
        continue;
      }
      if (indexes.length < array.extents.length) {
        found.oddities.push({ what: "whole", name: array.path, at });
        continue;
      }
      found.writes.push({ indexes, bank: null, bits, path, scope, timing, value: step.value, step, at });
      within = step;
      for (const index of indexes) this.reads(index, { path, scope, timing, into: null, within: null, at });
    }
    if (timing.sort === "initial") return;
    const into = targets.length === 1 ? { target: step.target, blocking: step.blocking } : null;
    this.reads(step.value, { path, scope, timing, into, within, at });
  }

  private call(step: Step & { readonly does: "call" }, timing: Timing): void {
    const { name, args, path, scope, at } = step;
    const [file, array] = args;
    if (INITIALISERS.test(name) && file !== undefined && array !== undefined) {
      const reference = this.reference(array, scope);
      const text = file.op === "string" ? file.text : null;
      if (reference !== null) this.found.get(reference.array)!.contents.push({ file: text, at });
      return;
    }
    if (timing.sort === "initial" || name.startsWith("$")) return;
    for (const argument of args) this.reads(argument, { path, scope, timing, into: null, within: null, at });
  }

  /** Reads in the brackets of a place that is assigned. */
  private selectReads(target: Expr, context: ReadContext): void {
    let base = target;
    for (;;) {
      if (base.op === "index") this.reads(base.index, context);
      else if (base.op === "part") this.reads(base.from, context);
      else if (base.op !== "member" && base.op !== "range") return;
      base = base.of;
    }
  }

  /** Every read in an expression. */
  private reads(expr: Expr, context: ReadContext): void {
    const { path, scope, timing, at } = context;
    const logic: ReadContext = { ...context, into: null };
    switch (expr.op) {
      case "name":
      case "index":
      case "range":
      case "part":
      case "member": {
        const reference = this.reference(expr, scope);
        if (reference === null) {
          if (expr.op === "index") this.reads(expr.index, logic);
          if (expr.op === "part") this.reads(expr.from, logic);
          // Bits of what a select takes are still the word as it is.
          if (expr.op !== "name") this.reads(expr.of, logic);
          return;
        }
        const { array, indexes, bits } = reference;
        const found = this.found.get(array)!;
        if (indexes.length < array.extents.length) {
          found.oddities.push({ what: "whole", name: array.path, at });
          return;
        }
        const { into, within } = context;
        found.reads.push({ indexes, bank: null, bits, path, scope, timing, into, within, at: expr.at });
        for (const index of indexes) this.reads(index, logic);
        return;
      }
      case "choose": {
        this.reads(expr.when, logic);
        const branch = (of: Expr, holds: boolean) =>
          this.reads(of, {
            ...context,
            path: { sort: "if", around: path, when: expr.when, holds, chain: null, scope },
          });
        const direct = context.into === null || this.mayChoose(expr, context);
        if (direct) {
          branch(expr.taken, true);
          branch(expr.otherwise, false);
        } else {
          this.reads(expr.taken, {
            ...logic,
            path: { sort: "if", around: path, when: expr.when, holds: true, chain: null, scope },
          });
          this.reads(expr.otherwise, {
            ...logic,
            path: { sort: "if", around: path, when: expr.when, holds: false, chain: null, scope },
          });
        }
        return;
      }
      case "join":
        for (const each of expr.parts) this.reads(each, context);
        return;
      case "cast":
        this.reads(expr.of, context);
        return;
      case "call":
        if (expr.name === "$signed" || expr.name === "$unsigned") {
          for (const each of expr.args) this.reads(each, context);
        } else if (expr.name !== "$bits" && expr.name !== "$size") {
          for (const each of expr.args) this.reads(each, logic);
        }
        return;
      case "unary":
        this.reads(expr.of, logic);
        return;
      case "binary":
        this.reads(expr.left, logic);
        this.reads(expr.right, logic);
        return;
      case "repeat":
        this.reads(expr.of, context);
        return;
      case "other":
        for (const each of expr.parts) this.reads(each, logic);
        return;
    }
  }

  /** True where both sides of a choice leave the choice to the port: a word of one array, a constant, or what was there. */
  private mayChoose(expr: Extract<Expr, { op: "choose" }>, { scope, into }: ReadContext): boolean {
    const arrays = new Set<ArrayFound>();
    const plain = (of: Expr): boolean => {
      if (of.op === "choose") return plain(of.taken) && plain(of.otherwise);
      if (of.op === "number") return true;
      const reference = this.reference(of, scope);
      if (reference !== null) {
        arrays.add(reference.array);
        return true;
      }
      return into !== null && this.signals.text(of, scope) === this.signals.text(into.target, scope);
    };
    return plain(expr.taken) && plain(expr.otherwise) && arrays.size <= 1;
  }

  /** Arrays in the connections of an instance. */
  private instance({ module, connections, scope, at }: InstanceFound): void {
    connections.forEach(({ port, value }, place) => {
      if (value === null) return;
      const name = port ?? module?.text.ports[place] ?? "";
      const binding = module?.scope.own(name);
      const direction = binding?.is === "signal" ? binding.direction : null;
      const reference = this.reference(value, scope);
      if (reference !== null && direction !== "input") {
        this.found.get(reference.array)!.oddities.push({ what: "instance-write", name, at });
        if (direction === "output") return;
      }
      const timing: Timing = { sort: "combinational" };
      this.reads(value, { path: null, scope, timing, into: null, within: null, at });
    });
  }

  /** A function or a task of the module that has an array in it. */
  private routine({ name, formals, body }: Routine, word: string): void {
    const binding = this.signals.module.scope.own(word);
    if (binding?.is !== "array" || formals.includes(word)) return;
    const { oddities } = this.found.get(binding.array)!;
    for (const use of usesIn(body, word)) {
      oddities.push({ what: use.writes ? "routine-write" : "routine-read", name, at: use.at });
    }
  }
}

/** The name of an array without the blocks it stands in. */
function lastName(path: string): string {
  return path.slice(path.lastIndexOf(".") + 1);
}

interface ReadContext {
  readonly path: Path | null;
  readonly scope: Scope;
  readonly timing: Timing;
  readonly into: Read["into"];
  readonly within: Step | null;
  readonly at: number;
}

/** Where statements write or read a name. */
function usesIn(body: unknown, word: string): { readonly writes: boolean; readonly at: number }[] {
  const found: { writes: boolean; at: number }[] = [];
  const visit = (value: unknown, writes: boolean): void => {
    if (Array.isArray(value)) for (const each of value) visit(each, writes);
    else if (typeof value === "object" && value !== null) {
      const { op, name, at } = value as { op?: unknown; name?: unknown; at?: number };
      if (op === "name" && name === word) found.push({ writes, at: at ?? 0 });
      for (const [key, each] of Object.entries(value)) {
        if (key === "target") visit(each, true);
        else visit(each, writes && (key === "of" || key === "parts"));
      }
    }
  };
  visit(body, false);
  return found;
}
