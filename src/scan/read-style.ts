import type { Read, Write } from "./accesses.js";
import type { ArrayFound } from "./array-found.js";
import { type Clock, clockOf } from "./clock.js";
import type { Question } from "./question.js";
import { constantOf, referenceOf } from "./reference.js";
import type { Scope } from "./scope.js";
import type { Driver, Signal, Signals } from "./signals.js";
import type { Expr } from "./syntax.js";

/** Whether a read is clocked, and the address that it takes. */
export interface ReadStyle {
  /** The clock that it is read with; null: asynchronous. */
  readonly clock: Clock | null;
  /** Names the address; of a registered address what the register is loaded with. */
  readonly address: string;
  /** Names the register that holds what was read, where the port has one of its own; null: the address is registered. */
  readonly register: string | null;
  readonly question: Question | null;
}

/** Names the indexes of an access. */
export function addressText(indexes: readonly Expr[], scope: Scope, signals: Signals): string {
  return indexes.map((index) => signals.text(index, scope)).join(",");
}

/** How an array is read at one place. `writes`: those of the same array. */
export function readStyle(
  read: Read,
  array: ArrayFound,
  writes: readonly Write[],
  signals: Signals,
): ReadStyle {
  const address = addressText(read.indexes, read.scope, signals);
  if (read.timing.sort === "clocked" && read.into !== null) {
    const clock = clockOf(read.timing, read.scope, signals);
    const held = registerOf(read, array, writes, signals);
    if (held.register !== null)
      return { clock, address, register: held.register, question: asyncReset(read, held.register) };
    const registered = registeredAddress(read, signals);
    if (registered !== null && registered.question === null) return registered;
    const text = `${held.reason}, so the read counts as asynchronous: may a register of the memory's own hold the word first (read: sync)?`;
    return { clock: null, address, register: null, question: { code: "read-style", at: read.at, text } };
  }
  const registered = registeredAddress(read, signals);
  if (registered?.question === null) return registered;
  const passed = registeredOutput(read, signals);
  if (passed !== null) return { ...passed, address };
  if (read.timing.sort === "clocked" && registered === null) {
    return { clock: null, address, register: null, question: null };
  }
  return { clock: null, address, register: null, question: registered?.question ?? null };
}

function asyncReset(read: Read, register: string): Question | null {
  if (read.timing.sort !== "clocked" || read.timing.resets === 0) return null;
  const text = `the register ${register} that the word is read into has an asynchronous reset, which few blocks have; the read counts as clocked: may the reset go?`;
  return { code: "read-style", at: read.at, text };
}

type Held =
  | { readonly register: string; readonly reason?: undefined }
  | { readonly register: null; readonly reason: string };

/**
 * The register that a clocked read fills, if a port's own register can be it: all else that the register is ever set to
 * is a constant, itself, words of the same array, or data that is written to it in that cycle.
 */
function registerOf(read: Read, array: ArrayFound, writes: readonly Write[], signals: Signals): Held {
  const { target, blocking } = read.into!;
  const base = signals.baseOf(target, read.scope);
  const name = nameOf(target);
  const whole = signals.text(target, read.scope);
  if (base === null) {
    const into = referenceOf(target, read.scope, signals.library);
    if (into === null) return { register: whole };
    const fixed = into.indexes.every((index) => constantOf(index, read.scope, signals.library) !== null);
    if (!fixed) return { register: null, reason: `the word goes straight into ${into.array.path}` };
    // An element that is always the same one is a register.
    const other = otherValue(signals.elementDrivers(name, into.array), true);
    return other ?? { register: whole };
  }
  if (blocking && usedInLogic(name, base.signal, read, signals)) {
    return { register: null, reason: `the variable ${name} goes through logic in the cycle of the read` };
  }
  return otherValue(signals.driversOf(name, base.signal), base.whole) ?? { register: whole };

  /** Says that the register takes another value, where it does. */
  function otherValue(drivers: readonly Driver[], all: boolean): Held | null {
    for (const driver of drivers) {
      if (driver.timing.sort === "initial" || driver.step?.does !== "assign") continue;
      const other = signals.text(driver.step.target, driver.scope);
      const apart = base === null ? other !== whole : other !== whole && !driver.whole && !all;
      if (apart || mayHold(driver.value, driver, other)) continue;
      return { register: null, reason: `the register ${whole} also takes other values` };
    }
    return null;
  }

  function mayHold(value: Expr, driver: Driver, self: string): boolean {
    const inner = (of: Expr) => mayHold(of, driver, self);
    if (value.op === "choose") return inner(value.taken) && inner(value.otherwise);
    // Words of several memories side by side each have bits of their own in the register.
    if (value.op === "join")
      return value.parts.some((part) => isWord(part, driver)) || value.parts.every(inner);
    if (value.op === "cast" || value.op === "repeat") return inner(value.of);
    if (value.op === "call" && value.args.length === 1 && /^\$(?:un)?signed$/.test(value.name)) {
      return inner(value.args[0]!);
    }
    if (value.op === "number") return true;
    if (referenceOf(value, driver.scope, signals.library) !== null) return isWord(value, driver);
    const text = signals.text(value, driver.scope);
    if (text === self || /^-?\d+$/.test(text)) return true;
    return writes.some((write) => signals.text(write.value, write.scope) === text);
  }

  /** True for a word of the array, and of the bank that is read. */
  function isWord(value: Expr, { scope }: Driver): boolean {
    const reference = referenceOf(value, scope, signals.library);
    if (reference?.array !== array) return false;
    if (read.bank === null) return true;
    const fixed = reference.indexes.map((index) => constantOf(index, scope, signals.library));
    return fixed.flatMap((index) => (index === null ? [] : [`[${index}]`])).join("") === read.bank;
  }
}

/** True where a variable that is set in passing is used for more than filling a register. */
function usedInLogic(name: string, signal: Signal, read: Read, signals: Signals): boolean {
  for (const process of signals.processesWith(name)) {
    const { steps, timing } = signals.walked(process);
    if (timing !== read.timing) continue;
    for (const step of steps) {
      if (step.does === "assign" && isName(step.value, step.scope, signal, signals)) continue;
      const looked =
        step.does === "assign"
          ? [step.value, ...selectsOf(step.target)]
          : step.does === "look"
            ? [step.value]
            : step.args;
      if (looked.some((expr) => mentions(expr, name, step.scope, signal))) return true;
    }
  }
  return false;
}

function isName(expr: Expr, scope: Scope, signal: Signal, signals: Signals): boolean {
  return signals.signalOf(expr, scope)?.id === signal.id;
}

function nameOf(target: Expr): string {
  let base = target;
  while (base.op === "index" || base.op === "range" || base.op === "part" || base.op === "member")
    base = base.of;
  return base.op === "name" ? base.name : "";
}

/** Index expressions of a place. */
function selectsOf(target: Expr): Expr[] {
  if (target.op === "index") return [target.index, ...selectsOf(target.of)];
  if (target.op === "part") return [target.from, ...selectsOf(target.of)];
  if (target.op === "range" || target.op === "member") return selectsOf(target.of);
  return target.op === "join" ? target.parts.flatMap(selectsOf) : [];
}

/** True where an expression has a signal in it. */
function mentions(expr: unknown, name: string, scope: Scope, signal: Signal): boolean {
  if (Array.isArray(expr)) return expr.some((each) => mentions(each, name, scope, signal));
  if (typeof expr !== "object" || expr === null) return false;
  const { op, name: own } = expr as { op?: unknown; name?: unknown };
  if (op === "name") {
    if (own !== name) return false;
    const binding = scope.find(name);
    return binding?.is === "signal" && binding.id === signal.id;
  }
  return Object.values(expr).some((each) => mentions(each, name, scope, signal));
}

/**
 * The clock and the next address where the address is a register, or bits of one, that plain logic fills. With a
 * question where the register's next value hangs on itself, or it has an asynchronous reset. Null: it is no register.
 */
function registeredAddress(read: Read, signals: Signals): ReadStyle | null {
  const [index, ...more] = read.indexes;
  if (index === undefined || more.length > 0) return null;
  let bits = "";
  let named = index;
  if (index.op === "range") {
    named = index.of;
    bits = `[${signals.text(index.msb, read.scope)}:${signals.text(index.lsb, read.scope)}]`;
  }
  const source = sourceOf(named, read.scope, signals);
  if (source === null) return null;
  const { name, signal } = source;
  const drivers = signals.driversOf(name, signal).filter(({ timing }) => timing.sort !== "initial");
  const [first] = drivers;
  if (first === undefined || first.timing.sort !== "clocked") return null;
  const clock = clockOf(first.timing, first.scope, signals);
  const clocks = new Set(drivers.map((driver) => clockOf(driver.timing, driver.scope, signals)?.key));
  const address = addressText(read.indexes, read.scope, signals);
  const asynchronous = (text: string): ReadStyle => ({
    clock: null,
    address,
    register: null,
    question: {
      code: "read-style",
      at: read.at,
      text: `${text}: may the memory's own register hold the address (read: sync)?`,
    },
  });
  if (clocks.size > 1 || drivers.some(({ whole }) => !whole)) {
    return asynchronous(
      `the address ${name} is a register that is set in parts, so the read counts as asynchronous`,
    );
  }
  const self = drivers.some(
    (driver) =>
      mentions(driver.value, name, driver.scope, signal) &&
      signals.signalOf(driver.value, driver.scope) !== signal,
  );
  if (self)
    return asynchronous(
      `the address ${name} is a register that counts on from its own value, so the read counts as asynchronous`,
    );
  if (drivers.some(({ timing }) => timing.sort === "clocked" && timing.resets > 0)) {
    return asynchronous(
      `the address ${name} is a register with an asynchronous reset, so the read counts as asynchronous`,
    );
  }
  const values = drivers
    .map((driver) => signals.text(driver.value, driver.scope))
    .filter((text) => !/^-?\d+$/.test(text) && text !== signal.id);
  const next = [...new Set(values)].join("|");
  return { clock, address: next + bits, register: null, question: null };
}

/** The signal that a name is, by way of plain assignments of whole names. */
function sourceOf(
  expr: Expr,
  scope: Scope,
  signals: Signals,
): { readonly name: string; readonly signal: Signal } | null {
  let named = expr;
  let where = scope;
  for (let step = 0; step < 16; step++) {
    const signal = signals.signalOf(named, where);
    if (signal === null || named.op !== "name") return null;
    const drivers = signals.driversOf(named.name, signal).filter(({ timing }) => timing.sort !== "initial");
    const [only] = drivers;
    const passes =
      drivers.length === 1 && only?.timing.sort === "combinational" && only.whole && only.value.op === "name";
    if (!passes || only === undefined) return { name: named.name, signal };
    named = only.value;
    where = only.scope;
  }
  return null;
}

/** The clock of the register that an unclocked read goes into and nowhere else; null where it goes elsewhere. */
function registeredOutput(read: Read, signals: Signals): Omit<ReadStyle, "address"> | null {
  if (read.into === null || read.timing.sort !== "combinational") return null;
  const base = signals.baseOf(read.into.target, read.scope);
  if (base === null || !base.whole) return null;
  return fillsRegister(nameOf(read.into.target), base.signal, read, signals, 0);
}

function fillsRegister(
  name: string,
  signal: Signal,
  read: Read,
  signals: Signals,
  followed: number,
): Omit<ReadStyle, "address"> | null {
  if (followed > 4 || signals.isSeenOutside(name, signal)) return null;
  const drivers = signals.driversOf(name, signal).filter(({ timing }) => timing.sort !== "initial");
  if (drivers.length !== 1) return null;
  let clock: Clock | null = null;
  let register: string | null = null;
  for (const process of signals.processesWith(name)) {
    const { steps, timing } = signals.walked(process);
    for (const step of steps) {
      if (timing.sort === "initial") continue;
      if (step.does === "assign" && isName(step.value, step.scope, signal, signals)) {
        const base = signals.baseOf(step.target, step.scope);
        if (base === null || !base.whole) return null;
        if (timing.sort === "combinational") {
          const next = fillsRegister(nameOf(step.target), base.signal, read, signals, followed + 1);
          if (next === null || clock !== null) return null;
          ({ clock, register } = next);
          continue;
        }
        const own = clockOf(timing, step.scope, signals);
        if (
          own === null ||
          clock !== null ||
          !onlyFilledBy(nameOf(step.target), base.signal, signal, signals)
        )
          return null;
        clock = own;
        register = base.signal.id;
        continue;
      }
      const looked =
        step.does === "assign"
          ? [step.value, ...selectsOf(step.target)]
          : step.does === "look"
            ? [step.value]
            : step.args;
      if (looked.some((expr) => mentions(expr, name, step.scope, signal))) return null;
    }
  }
  for (const { value, scope, net, name: driven } of signals.drivenWith(name)) {
    if (driven === name || !mentions(value, name, scope, signal)) continue;
    const next = net && isName(value, scope, signal, signals) ? scope.find(driven) : null;
    if (next?.is !== "signal" || clock !== null) return null;
    const through = fillsRegister(driven, next, read, signals, followed + 1);
    if (through === null) return null;
    ({ clock, register } = through);
  }
  return clock === null ? null : { clock, register, question: null };
}

/** True where a register takes nothing but a signal, constants and itself. */
function onlyFilledBy(name: string, register: Signal, signal: Signal, signals: Signals): boolean {
  return signals.driversOf(name, register).every(({ value, scope, timing }) => {
    if (timing.sort === "initial") return true;
    const text = signals.text(value, scope);
    return isName(value, scope, signal, signals) || /^-?\d+$/.test(text) || text === register.id;
  });
}
