import type { ArrayFound } from "./array-found.js";
import type { DrivenFound, Elaborated, InstanceFound, ProcessFound } from "./elaborate.js";
import type { Library } from "./library.js";
import { constantOf, referenceOf } from "./reference.js";
import type { Binding, Scope } from "./scope.js";
import type { Expr } from "./syntax.js";
import { type Step, type Timing, type Walked, walk } from "./walk.js";

export type Signal = Extract<Binding, { is: "signal" }>;

/** An assignment of a signal. */
export interface Driver {
  readonly value: Expr;
  /** False where only a part of it is assigned. */
  readonly whole: boolean;
  readonly timing: Timing;
  readonly step: Step | null;
  readonly scope: Scope;
}

/** Longest name of an expression that is made by following assignments, in characters. */
const LONGEST = 400;
/** Deepest nesting of an expression that is named in full. */
const DEEPEST = 200;
/** Most assignments that are followed from one name. */
const MOST_FOLLOWED = 16;

/** What drives and what uses the signals of one module, found when asked for. */
export class Signals {
  private readonly byWord = new Map<string, ProcessFound[]>();
  private readonly drivenByWord = new Map<string, DrivenFound[]>();
  private readonly instancesByWord = new Map<string, InstanceFound[]>();
  private readonly walks = new Map<ProcessFound, Walked>();
  private readonly drivers = new Map<string, readonly Driver[]>();
  private readonly texts = new WeakMap<Scope, WeakMap<Expr, string>>();

  constructor(
    readonly module: Elaborated,
    readonly library: Library,
  ) {
    for (const found of module.processes) {
      for (const word of found.process.words) put(this.byWord, word, found);
    }
    for (const found of module.driven) {
      put(this.drivenByWord, found.name, found);
      for (const word of found.words) if (word !== found.name) put(this.drivenByWord, word, found);
    }
    for (const found of module.instances) {
      for (const word of found.words) put(this.instancesByWord, word, found);
    }
  }

  /** Processes whose text has a word. */
  processesWith(word: string): readonly ProcessFound[] {
    return this.byWord.get(word) ?? [];
  }

  /** Declarations with a value that name a word or have it in the value. */
  drivenWith(word: string): readonly DrivenFound[] {
    return this.drivenByWord.get(word) ?? [];
  }

  instancesWith(word: string): readonly InstanceFound[] {
    return this.instancesByWord.get(word) ?? [];
  }

  walked(found: ProcessFound): Walked {
    let made = this.walks.get(found);
    if (made === undefined) {
      made = walk(found, this.library);
      this.walks.set(found, made);
    }
    return made;
  }

  /** The signal that a name is; null where it is something else. */
  signalOf(expr: Expr, scope: Scope): Signal | null {
    if (expr.op !== "name" || expr.scope !== null) return null;
    const binding = scope.find(expr.name);
    return binding?.is === "signal" ? binding : null;
  }

  /** The signal that a place is a part of, or is. */
  baseOf(expr: Expr, scope: Scope): { readonly signal: Signal; readonly whole: boolean } | null {
    let base = expr;
    while (base.op === "index" || base.op === "range" || base.op === "part" || base.op === "member")
      base = base.of;
    const signal = this.signalOf(base, scope);
    return signal === null ? null : { signal, whole: base === expr };
  }

  /** Every assignment of a signal in its module. */
  driversOf(name: string, signal: Signal): readonly Driver[] {
    const known = this.drivers.get(signal.id);
    if (known !== undefined) return known;
    const found: Driver[] = [];
    for (const process of this.processesWith(name)) {
      const { timing, steps } = this.walked(process);
      for (const step of steps) {
        if (step.does !== "assign") continue;
        for (const target of targetsOf(step.target)) {
          const base = this.baseOf(target, step.scope);
          if (base?.signal.id !== signal.id) continue;
          const whole = base.whole && target === step.target;
          found.push({ value: step.value, whole, timing, step, scope: step.scope });
        }
      }
    }
    for (const { name: driven, value, net, scope } of this.drivenWith(name)) {
      if (driven !== name || scope.find(name) !== signal || !net) continue;
      found.push({ value, whole: true, timing: { sort: "combinational" }, step: null, scope });
    }
    this.drivers.set(signal.id, found);
    return found;
  }

  /** Every assignment of an element of an array in its module. */
  elementDrivers(name: string, array: ArrayFound): readonly Driver[] {
    const found: Driver[] = [];
    for (const process of this.processesWith(name)) {
      const { timing, steps } = this.walked(process);
      for (const step of steps) {
        if (step.does !== "assign") continue;
        const { target, value, scope } = step;
        if (referenceOf(target, scope, this.library)?.array !== array) continue;
        found.push({ value, whole: true, timing, step, scope });
      }
    }
    return found;
  }

  /** The one expression that a signal always equals, where a plain assignment says so; else null. */
  private follow(name: string, signal: Signal): Driver | null {
    if (signal.direction === "input" || signal.direction === "inout") return null;
    const drivers = this.driversOf(name, signal).filter(({ timing }) => timing.sort !== "initial");
    const [only] = drivers;
    if (drivers.length !== 1 || only === undefined || !only.whole) return null;
    if (only.timing.sort !== "combinational" || (only.step?.path ?? null) !== null) return null;
    return only;
  }

  /**
   * Names an expression so that equal names mean equal values: constants worked out, plain assignments of names
   * followed, signals told apart by where they are declared.
   */
  text(expr: Expr, scope: Scope): string {
    let inScope = this.texts.get(scope);
    if (inScope === undefined) {
      inScope = new WeakMap();
      this.texts.set(scope, inScope);
    }
    let made = inScope.get(expr);
    if (made === undefined) {
      made = this.write(expr, scope, 0, 0);
      inScope.set(expr, made);
    }
    return made;
  }

  private write(expr: Expr, scope: Scope, followed: number, depth: number): string {
    // Nested deeper than anything that could be told apart by reading it.
    if (depth > DEEPEST) return `?@${expr.at}${scope.path}`;
    if (expr.op === "name" || expr.op === "number") {
      const value = constantOf(expr, scope, this.library);
      if (value !== null) return String(value);
    }
    let constant = true;
    const inner = (of: Expr) => {
      const text = this.write(of, scope, followed, depth + 1);
      constant &&= /^-?\d+$/.test(text);
      return text;
    };
    const text = this.compound(expr, scope, followed, inner);
    if (!constant || expr.op === "name" || expr.op === "number") return text;
    const value = constantOf(expr, scope, this.library);
    return value === null ? text : String(value);
  }

  private compound(expr: Expr, scope: Scope, followed: number, inner: (of: Expr) => string): string {
    switch (expr.op) {
      case "name": {
        const signal = this.signalOf(expr, scope);
        if (signal === null) {
          return expr.scope === null ? `${scope.path}${expr.name}` : `${expr.scope}::${expr.name}`;
        }
        const driver = followed < MOST_FOLLOWED ? this.follow(expr.name, signal) : null;
        if (driver !== null && isPlain(driver.value)) {
          const text = this.write(driver.value, driver.scope, followed + 1, 0);
          if (text.length < LONGEST) return text;
        }
        return signal.id;
      }
      case "index":
        return `${inner(expr.of)}[${inner(expr.index)}]`;
      case "range":
        return `${inner(expr.of)}[${inner(expr.msb)}:${inner(expr.lsb)}]`;
      case "part":
        return `${inner(expr.of)}[${inner(expr.from)}${expr.up ? "+:" : "-:"}${inner(expr.width)}]`;
      case "member":
        return `${inner(expr.of)}.${expr.name}`;
      case "unary":
        return `${expr.sign}(${inner(expr.of)})`;
      case "binary":
        return `(${inner(expr.left)}${expr.sign}${inner(expr.right)})`;
      case "choose":
        return `(${inner(expr.when)}?${inner(expr.taken)}:${inner(expr.otherwise)})`;
      case "join":
        return expr.parts.length === 1 ? inner(expr.parts[0]!) : `{${expr.parts.map(inner).join(",")}}`;
      case "repeat":
        return `{${inner(expr.times)}{${inner(expr.of)}}}`;
      case "call":
        if (/^\$(?:un)?signed$/.test(expr.name) && expr.args[0] !== undefined) return inner(expr.args[0]);
        return `${expr.name}(${expr.args.map(inner).join(",")})`;
      case "cast":
        if (expr.to === null) return inner(expr.of);
        return `'(${inner(expr.of)})@${"is" in expr.to ? expr.at : inner(expr.to)}`;
      case "number":
        return `x@${expr.at}`;
      case "string":
        return JSON.stringify(expr.text);
      default:
        return `?@${expr.at}${scope.path}`;
    }
  }

  /** True where the signal is seen outside of its module. */
  isSeenOutside(name: string, signal: Signal): boolean {
    if (signal.direction !== null && signal.direction !== "input") return true;
    return this.instancesWith(name).some(({ scope }) => scope.find(name) === signal);
  }

  /** True where an expression is a place of an array. */
  isReference(expr: Expr, scope: Scope): boolean {
    return referenceOf(expr, scope, this.library) !== null;
  }
}

/** The places that an assignment sets: the parts of a concatenation, or the one. */
export function targetsOf(target: Expr): Expr[] {
  return target.op === "join" ? target.parts.flatMap(targetsOf) : [target];
}

/** A name, or bits of one: worth following. */
function isPlain(expr: Expr): boolean {
  if (expr.op === "name") return true;
  if (expr.op === "index" || expr.op === "range" || expr.op === "part" || expr.op === "member")
    return isPlain(expr.of);
  if (expr.op === "join") return expr.parts.every((part) => part.op === "number" || isPlain(part));
  return false;
}

function put<T>(map: Map<string, T[]>, key: string, value: T): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}
