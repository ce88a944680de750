import { Names } from "./names.js";
import {
  bits,
  type Expr,
  type Item,
  type Pin,
  type RtlModule,
  type RtlPort,
  type Signal,
  slicesIn,
} from "./netlist.js";

/** Gathers the ports and items of one module and keeps its names apart. */
export class Builder {
  private readonly names = new Names();
  private readonly ports: RtlPort[] = [];
  private readonly items: Item[] = [];

  private signal(name: string, width: number): Signal {
    return { op: "signal", name: this.names.take(name), width };
  }

  /** A port that the module reads. */
  input(name: string, width: number): Signal {
    const signal = this.signal(name, width);
    this.ports.push({ signal, direction: "in" });
    return signal;
  }

  /** A port that the module drives, by {@link assign}. */
  output(name: string, width: number): Signal {
    const signal = this.signal(name, width);
    this.ports.push({ signal, direction: "out" });
    return signal;
  }

  comment(text: string): void {
    this.items.push({ item: "comment", text });
  }

  /** A new wire that nothing drives yet. */
  wire(name: string, width: number): Signal {
    const signal = this.signal(name, width);
    this.items.push({ item: "wire", signal });
    return signal;
  }

  /** The value as a named signal: itself where it is one already. */
  named(name: string, value: Expr): Signal {
    if (value.op === "signal") return value;
    const signal = this.wire(name, value.width);
    this.assign(signal, value);
    return signal;
  }

  /** Drives bits of a signal from `low` up. */
  assign(target: Signal, value: Expr, low = 0): void {
    this.items.push({ item: "assign", target, low, value });
  }

  /** A register that takes `next` at each rising edge of the clock, or at those at which `enable` is 1. */
  register(
    name: string,
    clock: Signal,
    enable: Expr | null,
    next: Expr,
    initial: number | null = null,
  ): Signal {
    const signal = this.signal(name, next.width);
    const always = enable?.op === "const" && enable.value === 1;
    this.items.push({ item: "register", signal, clock, enable: always ? null : enable, next, initial });
    return signal;
  }

  /** A register whose next value is set when all that it depends on is there. */
  laterRegister(
    name: string,
    width: number,
    clock: Signal,
    initial: number | null,
  ): [Signal, (next: Expr) => void] {
    const signal = this.signal(name, width);
    const place = this.items.length;
    this.items.push({ item: "comment", text: "" });
    return [
      signal,
      (next) => {
        this.items[place] = { item: "register", signal, clock, enable: null, next, initial };
      },
    ];
  }

  /** An instance of another module. */
  instance(module: string, name: string, pins: readonly Pin[], contents: string | null): void {
    this.items.push({ item: "instance", module, name: this.names.take(name), pins, contents });
  }

  /** Bits of every signal that nothing reads: a linter would ask about them. */
  private unread(): Expr[] {
    const read = new Map<string, boolean[]>();
    const note = (expr: Expr) => {
      for (const { of, low, width } of slicesIn(expr)) {
        const flags = read.get(of.name) ?? Array<boolean>(of.width).fill(false);
        read.set(of.name, flags.fill(true, low, low + width));
      }
    };
    const driven: Signal[] = this.ports.filter((p) => p.direction === "in").map((p) => p.signal);
    const outputs = new Set(this.ports.filter((p) => p.direction === "out").map((p) => p.signal.name));
    for (const item of this.items) {
      if (item.item === "assign") note(item.value);
      if (item.item === "wire" && !outputs.has(item.signal.name)) driven.push(item.signal);
      if (item.item === "register") {
        driven.push(item.signal);
        for (const part of [item.clock, item.next, ...(item.enable === null ? [] : [item.enable])])
          note(part);
      }
      if (item.item === "instance") {
        for (const { direction, value } of item.pins) if (direction === "in") note(value);
      }
    }
    return driven.flatMap((signal) => {
      const flags = read.get(signal.name) ?? Array<boolean>(signal.width).fill(false);
      const found: Expr[] = [];
      for (let low = 0; low < signal.width; low++) {
        if (flags[low]) continue;
        let end = low;
        while (end < signal.width && !flags[end]) end++;
        found.push(bits(signal, low, end - low));
        low = end;
      }
      return found;
    });
  }

  /** The module. */
  finish(name: string, header: readonly string[]): RtlModule & { readonly unread: readonly Expr[] } {
    return { name, header, ports: this.ports, items: this.items, unread: this.unread() };
  }
}
