import { holdsData } from "../header.js";
import type { MemberPort } from "../logical-ports.js";
import type { Wrapper } from "../module.js";
import type { RtlPort, Signal } from "../netlist.js";
import { type BenchUnit, onTwoClocks, readingPorts, unitsOf, writingPorts } from "./units.js";

/** Cycles of random stimulus after the directed ones. */
const CYCLES = 150;
/** Cycles between writing and reading, and cycles of the writing clock within which two clocks collide. */
const SETTLE = 4;
const RECENT = 3;

/** One step of a bench: what the outputs have to be before it, and the inputs that it sets. Values by port. */
export interface Vector {
  /** Expected value and the bits of it that are known; null: nothing is checked. */
  readonly check: ReadonlyMap<string, { readonly value: bigint; readonly known: bigint }> | null;
  readonly inputs: ReadonlyMap<string, bigint>;
}

const ones = (width: number) => (1n << BigInt(width)) - 1n;

/** A 32-bit xorshift generator (Marsaglia, Xorshift RNGs, 2003). */
class Random {
  private state = 2463534242;

  private next(): number {
    this.state ^= this.state << 13;
    this.state ^= this.state >>> 17;
    this.state ^= this.state << 5;
    return this.state >>> 0;
  }

  /** A whole number below a limit. */
  below(limit: number): number {
    return this.next() % limit;
  }

  /** A number of so many bits. */
  bits(width: number): bigint {
    let value = 0n;
    for (let have = 0; have < width; have += 32) value = (value << 32n) | BigInt(this.next());
    return value & ones(width);
  }
}

/** A flat memory, and which of its bits are known. */
interface Model {
  readonly words: bigint[];
  readonly known: bigint[];
}

/** How far a unit is. */
interface UnitState {
  stage: "write" | "read" | "random";
  step: number;
  rest: number;
  last: number;
  spent: number;
  readonly read: Map<string, number>;
  /** Words last written at each port of a memory of two clocks; -1: none. */
  readonly recent: Map<string, number[]>;
  /** What each port does in the cycle being chosen. */
  readonly chosen: Map<string, { readonly on: boolean; readonly write: boolean; readonly word: number }>;
}

/** Steps through the clocks of a wrapper, with a flat model beside it. */
class Stepper {
  private readonly units: readonly BenchUnit[];
  private readonly states: UnitState[];
  private readonly random = new Random();
  private readonly inputs = new Map<string, bigint>();
  private readonly models: readonly Model[];
  private readonly shown = new Map<string, { value: bigint; known: bigint }>();
  private readonly cycles = new Map<string, number>();
  private readonly picks = new Map<string, number>();

  constructor(
    private readonly wrapper: Wrapper,
    contents: ReadonlyMap<string, readonly bigint[]>,
  ) {
    this.units = unitsOf(wrapper);
    this.states = this.units.map((unit): UnitState => {
      const stage = writingPorts(unit).length > 0 ? "write" : "read";
      const read = new Map(readingPorts(unit).map(({ port }) => [port.name, 0]));
      const recent = new Map(
        writingPorts(unit).map(({ port }) => [port.name, Array<number>(RECENT).fill(-1)]),
      );
      return { stage, step: 0, rest: 0, last: 0, spent: 0, read, recent, chosen: new Map() };
    });
    for (const { signal, direction } of wrapper.module.ports) {
      if (direction === "in") this.inputs.set(signal.name, 0n);
    }
    this.models = wrapper.cluster.members.map(({ request }): Model => {
      const { depth, width } = request;
      const words = contents.get(request.name);
      const known = words !== undefined || request.initialContents ? ones(width) : 0n;
      return {
        words: [...(words ?? Array<bigint>(depth).fill(0n))],
        known: Array<bigint>(depth).fill(known),
      };
    });
  }

  private request(member: number) {
    return this.wrapper.cluster.members[member]!.request;
  }

  private port(member: number, { port }: MemberPort): MemberPort {
    return this.wrapper.interface.members[member]!.ports.find((own) => own.port.name === port.name)!;
  }

  private value(signal: Signal): bigint {
    return this.inputs.get(signal.name)!;
  }

  private on(signal: Signal | null): boolean {
    return signal === null || this.value(signal) === 1n;
  }

  /** First word of the request that a port's address means. */
  private first(port: MemberPort): number {
    return Number(this.value(port.address)) * port.port.words;
  }

  private writes(member: number, port: MemberPort): boolean {
    const own = this.port(member, port);
    return own.write !== null && this.on(own.enable) && this.on(own.write);
  }

  /** The words at a port's address. */
  private fetch(member: number, port: MemberPort): { value: bigint; known: bigint } {
    const { width } = this.request(member);
    const model = this.models[member]!;
    const first = this.first(port);
    let [value, known] = [0n, 0n];
    for (let word = port.port.words - 1; word >= 0; word--) {
      value = (value << BigInt(width)) | model.words[first + word]!;
      known = (known << BigInt(width)) | model.known[first + word]!;
    }
    return { value, known };
  }

  private store(member: number, port: MemberPort): void {
    const own = this.port(member, port);
    const { width, lane } = this.request(member);
    const model = this.models[member]!;
    const step = lane ?? width;
    const lanes = Math.ceil(width / step);
    for (let word = 0; word < port.port.words; word++) {
      const index = this.first(port) + word;
      const data = (this.value(own.writeData!) >> BigInt(word * width)) & ones(width);
      let mask = 0n;
      for (let each = 0; each < lanes; each++) {
        const bit = own.lanes === null ? 1n : (this.value(own.lanes) >> BigInt(word * lanes + each)) & 1n;
        if (bit === 1n) mask |= (ones(step) << BigInt(each * step)) & ones(width);
      }
      model.words[index] = (model.words[index]! & ~mask) | (data & mask);
      model.known[index] = model.known[index]! | mask;
    }
  }

  /** Whether a read meets a write in its own cycle, or too close to one on another clock. */
  private collides(unit: BenchUnit, state: UnitState, member: number, port: MemberPort): boolean {
    return writingPorts(unit).some((writing) => {
      if (writing.port.name === port.port.name) return false;
      const most = Math.max(port.port.words, writing.port.words);
      const at = Math.floor(this.first(port) / most);
      if (this.writes(member, writing) && Math.floor(this.first(writing) / most) === at) return true;
      if (writing.clock.name === port.clock.name) return false;
      return state.recent.get(writing.port.name)!.some((word) => word >= 0 && Math.floor(word / most) === at);
    });
  }

  /** What a synchronous port shows after this edge. */
  private readAt(unit: BenchUnit, state: UnitState, member: number, port: MemberPort): void {
    const own = this.port(member, port);
    const request = this.request(member);
    const name = own.readData!.name;
    const { cluster, sharing } = this.wrapper;
    const enabled = this.on(own.enable);
    // Members that share a read-write port read only in cycles in which none of them is written.
    const writing = port.port.writes && unit.members.some((each) => this.on(this.port(each, port).write));
    if (enabled && (request.collision !== "any" || !writing)) {
      const unsure = request.collision === "any" || onTwoClocks(unit);
      const read = this.fetch(member, port);
      this.shown.set(
        name,
        unsure && this.collides(unit, state, member, port) ? { ...read, known: 0n } : read,
      );
    } else if (enabled || !holdsData(cluster, sharing, member))
      this.shown.set(name, { value: 0n, known: 0n });
  }

  /** Outputs as they have to be just before the next edge. */
  private expectation(): Map<string, { value: bigint; known: bigint }> {
    const found = new Map(this.shown);
    for (const unit of this.units) {
      if (unit.request.read !== "async") continue;
      for (const port of readingPorts(unit)) {
        for (const member of unit.members) {
          found.set(this.port(member, port).readData!.name, this.fetch(member, port));
        }
      }
    }
    return found;
  }

  /** A rising edge of a clock: what it does to the model. */
  private edge(clock: string): void {
    const here = ({ clock: own }: MemberPort) => own.name === clock;
    this.cycles.set(clock, (this.cycles.get(clock) ?? 0) + 1);
    this.units.forEach((unit, index) => {
      for (const port of readingPorts(unit).filter(here)) {
        if (unit.request.read === "async") continue;
        for (const member of unit.members) this.readAt(unit, this.states[index]!, member, port);
      }
    });
    this.units.forEach((unit, index) => {
      for (const port of writingPorts(unit).filter(here)) {
        const writing = unit.members.filter((member) => this.writes(member, port));
        for (const member of writing) this.store(member, port);
        const recent = this.states[index]!.recent.get(port.port.name)!;
        recent.unshift(writing.length > 0 ? this.first(port) : -1);
        recent.pop();
      }
    });
    for (const unit of this.units) {
      for (const port of readingPorts(unit).filter(here)) {
        for (const member of unit.members) {
          const { collision, read } = this.request(member);
          const after = collision === "new" && read === "sync" && !onTwoClocks(unit);
          const own = this.port(member, port);
          if (after && this.on(own.enable)) this.shown.set(own.readData!.name, this.fetch(member, port));
        }
      }
    }
  }

  /** Whose turn it is at a port of members of which one at most is accessed. */
  private turn(unit: BenchUnit, port: MemberPort): boolean {
    if (unit.turn === null) return true;
    const { set, place, of } = unit.turn;
    return this.picks.get(`${set} ${port.port.name}`)! % of === place;
  }

  private pick(clock: string): void {
    this.units.forEach((unit) => {
      if (unit.turn === null || unit.turn.place !== 0) return;
      const { set } = unit.turn;
      const random = this.units.every(
        (other, index) => other.turn?.set !== set || this.states[index]!.stage === "random",
      );
      for (const { port, clock: own } of unit.ports) {
        if (own.name !== clock) continue;
        this.picks.set(`${set} ${port.name}`, random ? this.random.below(1 << 20) : this.cycles.get(clock)!);
      }
    });
  }

  /** What a unit's port does next. */
  private choose(
    unit: BenchUnit,
    state: UnitState,
    port: MemberPort,
  ): { on: boolean; write: boolean; word: number } {
    const idle = { on: false, write: false, word: 0 };
    if (!this.turn(unit, port)) return idle;
    const { spots } = unit;
    const { name, reads, writes } = port.port;
    const writers = writingPorts(unit);
    const place = writers.findIndex((writing) => writing.port.name === name);
    if (state.stage === "write") {
      const pass = Math.floor(state.step / spots.length);
      const mine =
        writes &&
        state.step < spots.length * writers.length &&
        (state.step + pass) % writers.length === place;
      return mine ? { on: true, write: true, word: spots[state.step % spots.length]! } : idle;
    }
    if (state.stage === "read") {
      const done = state.read.get(name);
      if (!reads || done === undefined || done >= spots.length) return idle;
      state.read.set(name, done + 1);
      return { on: true, write: false, word: spots[done]! };
    }
    const on = this.random.below(4) > 0;
    const write = writes && (!reads || this.random.below(2) === 0);
    const from = this.random.below(4);
    const word =
      from === 0
        ? spots[this.random.below(spots.length)]!
        : from === 1
          ? state.last
          : this.random.below(unit.request.depth);
    // Two ports do not write one word in one cycle.
    const met = writers.slice(0, Math.max(0, place)).some((earlier) => {
      const other = state.chosen.get(earlier.port.name);
      return (
        earlier.clock.name === port.clock.name && other?.on && other.write && write && other.word === word
      );
    });
    return { on: on && !met, write, word };
  }

  private drive(unit: BenchUnit, state: UnitState, port: MemberPort): void {
    const choice = this.choose(unit, state, port);
    state.chosen.set(port.port.name, choice);
    const { on, write, word } = choice;
    if (on && write) state.last = word;
    this.inputs.set(port.address.name, BigInt(Math.floor(word / port.port.words)));
    if (port.enable !== null) this.inputs.set(port.enable.name, on ? 1n : 0n);
    if (!port.port.writes) return;
    const random = state.stage === "random";
    for (const member of unit.members) {
      const own = this.port(member, port);
      // Members that are written together are written in the same cycles; the others each in their own.
      const apart = unit.members.length > 1 && !this.request(member).lockstep!.together;
      const writes = on && write && (!apart || !random || this.random.below(4) > 0);
      this.inputs.set(own.write!.name, writes ? 1n : 0n);
      if (own.lanes !== null) {
        const all = !random || this.random.below(4) === 0;
        this.inputs.set(own.lanes.name, all ? ones(own.lanes.width) : this.random.bits(own.lanes.width));
      }
      this.inputs.set(own.writeData!.name, this.random.bits(own.writeData!.width));
    }
  }

  private advance(unit: BenchUnit, state: UnitState): void {
    const { spots } = unit;
    const writers = writingPorts(unit);
    const count = spots.length * writers.length;
    if (state.stage === "write") {
      const wrote = writers.some(({ port, clock }) => {
        const choice = state.chosen.get(port.name);
        return clock.name === unit.clock && choice?.on === true && choice.write;
      });
      const elsewhere = writers.some(({ clock }) => clock.name !== unit.clock);
      // A spot whose writer runs on another clock is left to it for a while.
      if (wrote || (elsewhere && state.step < count && state.rest === 2 * SETTLE)) {
        state.step += 1;
        state.rest = 0;
      } else state.rest += 1;
      if (state.step >= count && state.rest >= SETTLE) state.stage = "read";
    } else if (state.stage === "read") {
      if ([...state.read.values()].every((done) => done >= spots.length)) state.stage = "random";
    } else state.spent += 1;
  }

  /** Chooses the inputs of the cycle that follows an edge of a clock. */
  private stimulate(clock: string): void {
    this.pick(clock);
    this.units.forEach((unit, index) => {
      const state = this.states[index]!;
      for (const port of unit.ports) if (port.clock.name === clock) this.drive(unit, state, port);
      if (unit.clock === clock) this.advance(unit, state);
    });
  }

  /** Rising edges in order: clocks that rise together, in a pattern that repeats. */
  private schedule(): { readonly rising: readonly string[] }[] {
    const { clock, fastClock, pump } = this.wrapper.interface;
    const names = [...new Set(this.units.flatMap(({ ports }) => ports.map(({ clock: own }) => own.name)))];
    const rises: { at: number; rising: string[] }[] = [];
    // Periods of 5, 7, 9 ... times the number of clocks; edges of different clocks never fall together.
    names.forEach((name, index) => {
      const period = names.length * (5 + 2 * index) * pump;
      for (let cycle = 0; cycle < 40; cycle++) {
        const at = index + cycle * period;
        const fast = fastClock !== null && name === clock!.name;
        rises.push({ at, rising: fast ? [name, fastClock.name] : [name] });
        for (let turn = 1; fast && turn < pump; turn++) {
          rises.push({ at: at + (turn * period) / pump, rising: [fastClock.name] });
        }
      }
    });
    const last = Math.min(
      ...names.map((name) =>
        Math.max(...rises.filter(({ rising }) => rising[0] === name).map(({ at }) => at)),
      ),
    );
    // The pattern ends where the slowest clock starts anew, after all fast edges of the cycle before.
    return rises.filter(({ at }) => at < last).sort((a, b) => a.at - b.at);
  }

  /** All steps until every unit has had its random cycles. */
  vectors(): Vector[] {
    const found: Vector[] = [];
    const schedule = this.schedule();
    const fast = this.wrapper.interface.fastClock?.name;
    const finished = () => this.states.every(({ spent }) => spent >= CYCLES);
    for (let index = 0; !finished(); index = (index + 1) % schedule.length) {
      const { rising } = schedule[index]!;
      const slow = rising.filter((clock) => clock !== fast);
      const high = new Map(rising.map((clock) => [clock, 1n]));
      const check = slow.length > 0 ? this.expectation() : null;
      found.push({ check, inputs: new Map([...this.inputs, ...high]) });
      for (const clock of slow) {
        this.edge(clock);
        this.stimulate(clock);
      }
      found.push({ check: null, inputs: new Map(this.inputs) });
    }
    return found;
  }
}

/** Steps of a bench for a wrapper: directed and random stimulus, and what a flat memory would show. */
export function benchVectors(
  wrapper: Wrapper,
  contents: ReadonlyMap<string, readonly bigint[]>,
): readonly Vector[] {
  return new Stepper(wrapper, contents).vectors();
}

const hex = (value: bigint, width: number) => value.toString(16).padStart(Math.ceil(width / 4), "0");

/** Values side by side, the first port lowest. */
function packed(ports: readonly RtlPort[], of: (name: string) => bigint): bigint {
  let [value, low] = [0n, 0];
  for (const { signal } of ports) {
    value |= of(signal.name) << BigInt(low);
    low += signal.width;
  }
  return value;
}

/** Bits of ports together. */
export function widthOf(ports: readonly RtlPort[]): number {
  return ports.reduce((sum, { signal }) => sum + signal.width, 0);
}

/**
 * The steps as text, one a line: `c` or `-`, the inputs, and after `c` the outputs that are expected before them and the
 * bits of those that are known; all in hexadecimal, the first port lowest.
 */
export function vectorText(wrapper: Wrapper, vectors: readonly Vector[]): string {
  const inputs = wrapper.module.ports.filter(({ direction }) => direction === "in");
  const outputs = wrapper.module.ports.filter(({ direction }) => direction === "out");
  const lines = vectors.map(({ check, inputs: values }) => {
    const stimulus = hex(
      packed(inputs, (name) => values.get(name) ?? 0n),
      widthOf(inputs),
    );
    const known = check === null ? 0n : packed(outputs, (name) => check.get(name)?.known ?? 0n);
    if (check === null || known === 0n) return `- ${stimulus}`;
    const expected = packed(outputs, (name) => check.get(name)?.value ?? 0n);
    return `c ${stimulus} ${hex(expected, widthOf(outputs))} ${hex(known, widthOf(outputs))}`;
  });
  return `${lines.join("\n")}\n`;
}
