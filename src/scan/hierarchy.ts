import type { Clock } from "./clock.js";
import type { Elaborated, InstanceFound } from "./elaborate.js";
import type { Library } from "./library.js";
import { Signals } from "./signals.js";
import type { Expr } from "./syntax.js";

/** An instance of a module, seen from the module. */
interface Parent {
  readonly module: Elaborated;
  readonly instance: InstanceFound;
}

/** How often the modules of a hierarchy stand in it, where, and which of their clocks are one. */
export class Hierarchy {
  private readonly counts = new Map<Elaborated, number>();
  private readonly parents = new Map<Elaborated, Parent[]>();
  private readonly signals = new Map<Elaborated, Signals>();

  constructor(
    private readonly top: Elaborated,
    private readonly library: Library,
  ) {
    const order: Elaborated[] = [];
    const seen = new Set<Elaborated>();
    const visit = (module: Elaborated): void => {
      seen.add(module);
      for (const instance of module.instances) {
        if (instance.module === null) continue;
        const list = this.parents.get(instance.module) ?? [];
        this.parents.set(instance.module, list);
        list.push({ module, instance });
        if (!seen.has(instance.module)) visit(instance.module);
      }
      order.push(module);
    };
    visit(top);
    this.counts.set(top, 1);
    for (const module of order.reverse()) {
      const times = this.counts.get(module) ?? 0;
      for (const { module: inner, count } of module.instances) {
        if (inner !== null) this.counts.set(inner, (this.counts.get(inner) ?? 0) + times * count);
      }
    }
  }

  /** All modules under the top, callers before what they call. */
  modules(): Elaborated[] {
    return [...this.counts.keys()];
  }

  /** Instances of a module in the whole. */
  countOf(module: Elaborated): number {
    return this.counts.get(module) ?? 0;
  }

  /** The path of one instance of a module, from the top's name on. */
  pathOf(module: Elaborated): string {
    const names: string[] = [];
    let at = module;
    while (at !== this.top) {
      const parent = this.parents.get(at)?.[0];
      if (parent === undefined) break;
      const { name, count } = parent.instance;
      names.unshift(count > 1 ? `${name}[0]` : name);
      at = parent.module;
    }
    return [this.top.text.name, ...names].join(".");
  }

  /**
   * How many clocks a module's clocks really are, followed up through its ports: for each number of clocks, the
   * instances that have it. Clocks that cannot be followed count as different.
   */
  clocksOf(module: Elaborated, clocks: readonly Clock[]): Map<number, number> {
    const result = new Map<number, number>();
    const add = (distinct: number, times: number) =>
      result.set(distinct, (result.get(distinct) ?? 0) + times);
    if (clocks.length < 2) {
      add(clocks.length, this.countOf(module));
      return result;
    }
    for (const [distinct, times] of this.follow(module, clocks, 0)) add(distinct, times);
    return result;
  }

  private follow(module: Elaborated, clocks: readonly Clock[], depth: number): Map<number, number> {
    const distinct = new Map(clocks.map((clock) => [clock.key, clock]));
    const times = this.countOf(module);
    const ports = [...distinct.values()].every(({ signal }) => isInput(module, signal));
    if (distinct.size < 2 || !ports || module === this.top || depth > 200)
      return new Map([[distinct.size, times]]);
    const result = new Map<number, number>();
    for (const parent of this.parents.get(module) ?? []) {
      const above = [...distinct.values()].map((clock) => this.clockAbove(parent, module, clock));
      const known = above.filter((clock) => clock !== null);
      const share = this.countOf(parent.module) * parent.instance.count;
      if (known.length < above.length) {
        result.set(distinct.size, (result.get(distinct.size) ?? 0) + share);
        continue;
      }
      for (const [count, of] of this.follow(parent.module, known, depth + 1)) {
        result.set(count, (result.get(count) ?? 0) + of * parent.instance.count);
      }
    }
    return result;
  }

  /** What an instance connects to a clock's port. */
  private clockAbove({ module, instance }: Parent, inner: Elaborated, { signal, edge }: Clock): Clock | null {
    const place = inner.text.ports.indexOf(signal);
    const { connections } = instance;
    const named = connections.find(({ port }) => port === signal);
    const placed = connections.every(({ port }) => port === null) ? connections[place] : undefined;
    const star = connections.some(({ port }) => port === "*");
    let value: Expr | null = (named ?? placed)?.value ?? null;
    if (value === null && star && named === undefined)
      value = { op: "name", name: signal, scope: null, at: 0 };
    if (value === null) return null;
    let way = edge;
    while (value.op === "unary" && (value.sign === "~" || value.sign === "!")) {
      value = value.of;
      way = way === "posedge" ? "negedge" : "posedge";
    }
    const text = this.signalsOf(module).text(value, instance.scope);
    return { key: `${way} ${text}`, signal: text, edge: way };
  }

  private signalsOf(module: Elaborated): Signals {
    let made = this.signals.get(module);
    if (made === undefined) {
      made = new Signals(module, this.library);
      this.signals.set(module, made);
    }
    return made;
  }
}

function isInput(module: Elaborated, signal: string): boolean {
  const binding = module.scope.own(signal);
  return binding?.is === "signal" && binding.direction === "input";
}
