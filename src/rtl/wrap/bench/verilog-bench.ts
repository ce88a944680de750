import { hexText } from "../contents.js";
import { holdsData } from "../header.js";
import { lanesOf, type MemberPort, portDepth } from "../logical-ports.js";
import type { Wrapper } from "../module.js";
import { Names } from "../names.js";
import type { RtlFile } from "../rtl-file.js";
import { type BenchUnit, onTwoClocks, readingPorts, unitsOf, writingPorts } from "./units.js";

/** Cycles of random stimulus after the directed ones. */
const CYCLES = 300;
/** Cycles of the writing clock that a bench waits between writing and reading, and within which two clocks collide. */
const SETTLE = 4;
const RECENT = 3;
/** Errors that are printed. */
const PRINTED = 5;

const range = (width: number) => (width === 1 ? "" : `[${width - 1}:0] `);

/** Names of what a bench keeps for one port of one member or unit. */
type Named = (what: string) => string;

/** Writes the Verilog bench of one wrapper. */
class Bench {
  private readonly names = new Names();
  private readonly lines: string[] = [];
  private readonly units: readonly BenchUnit[];
  private readonly clocks: readonly string[];
  private readonly known = new Map<string, string>();

  constructor(
    private readonly wrapper: Wrapper,
    private readonly contents: ReadonlyMap<string, readonly bigint[]>,
  ) {
    for (const { signal } of wrapper.module.ports) this.names.take(signal.name);
    this.units = unitsOf(wrapper);
    this.clocks = [...new Set(this.units.flatMap(({ ports }) => ports.map(({ clock }) => clock.name)))];
  }

  private say(...lines: string[]): void {
    this.lines.push(...lines.map((line) => (line === "" ? "" : `  ${line}`)));
  }

  /** A name of the bench's own, the same each time it is asked for. */
  private own(name: string): string {
    let given = this.known.get(name);
    if (given === undefined) {
      given = this.names.take(name);
      this.known.set(name, given);
    }
    return given;
  }

  private member(member: number): Named {
    return (what) => this.own(`m${member}_${what}`);
  }

  private unit(unit: BenchUnit): Named {
    return (what) => this.own(`u${this.units.indexOf(unit)}_${what}`);
  }

  private request(member: number) {
    return this.wrapper.cluster.members[member]!.request;
  }

  private port(member: number, { port }: MemberPort): MemberPort {
    return this.wrapper.interface.members[member]!.ports.find((own) => own.port.name === port.name)!;
  }

  /** Random bits in a vector of a width; `clock` has a seed of its own, so that the order of processes is no matter. */
  private random(clock: string, width: number): string {
    const call = `$random(${this.own(`seed_${clock}`)})`;
    return `{${Array.from({ length: Math.ceil(width / 32) }, () => call).join(", ")}}`;
  }

  private declareState(): void {
    const { errors, checks, done } = { errors: "errors", checks: "checks", done: "done" };
    this.say(`integer ${this.own(errors)}, ${this.own(checks)}, ${this.own("i")};`, `reg ${this.own(done)};`);
    for (const clock of this.clocks) {
      this.say(`integer ${this.own(`seed_${clock}`)}, ${this.own(`cycle_${clock}`)};`);
    }
    for (const { signal, direction } of this.wrapper.module.ports) {
      this.say(`${direction === "in" ? "reg" : "wire"} ${range(signal.width)}${signal.name};`);
    }
    this.wrapper.cluster.members.forEach(({ request }, member) => {
      const name = this.member(member);
      this.say(`reg ${range(request.width)}${name("model")} [0:${request.depth - 1}];`);
      this.say(`reg ${range(request.width)}${name("known")} [0:${request.depth - 1}];`);
      for (const port of this.wrapper.interface.members[member]!.ports) {
        if (port.readData === null) continue;
        const width = range(port.readData.width);
        this.say(`reg ${width}${name(`${port.port.name}_expected`)}, ${name(`${port.port.name}_sure`)};`);
      }
    });
    for (const unit of this.units) {
      const name = this.unit(unit);
      this.say(
        `integer ${name("stage")}, ${name("step")}, ${name("rest")}, ${name("last")}, ${name("spent")};`,
      );
      for (const { port } of unit.ports) {
        const p = port.name;
        this.say(`integer ${name(`${p}_word`)};`, `reg ${name(`${p}_on`)}, ${name(`${p}_wr`)};`);
        if (port.reads) this.say(`integer ${name(`${p}_read`)};`);
        if (port.writes && onTwoClocks(unit)) {
          this.say(
            ...Array.from(
              { length: RECENT },
              (_, n) => `integer ${name(`${p}_recent${n}`)}; initial ${name(`${p}_recent${n}`)} = -1;`,
            ),
          );
        }
        if (unit.turn !== null) {
          this.say(`integer ${name(`${p}_pick`)};`);
        }
      }
    }
  }

  private dut(): void {
    const { module, name } = this.wrapper;
    const pins = module.ports.map(({ signal }) => `    .${signal.name}(${signal.name})`).join(",\n");
    this.lines.push("", `  ${name} dut (`, pins, "  );");
  }

  private clockProcesses(): void {
    const { clock, fastClock, pump } = this.wrapper.interface;
    const count = this.clocks.length;
    this.clocks.forEach((own, index) => {
      // Edges of different clocks never fall together: their times differ modulo the number of clocks.
      const half = count * (5 + 2 * index);
      this.say("", "initial begin");
      const done = this.own("done");
      if (fastClock !== null && own === clock!.name) {
        const fast = fastClock.name;
        this.say(`  ${own} = 0; ${fast} = 0; #${index};`, `  while (!${done}) begin`);
        for (let cycle = 0; cycle < pump; cycle++) {
          this.say(
            `    #${half} ${fast} = 1;${cycle === 0 ? ` ${own} = 1;` : ""}`,
            `    #${half} ${fast} = 0;`,
          );
          if (cycle === 0) this.say(`    ${own} = 0;`);
        }
      } else {
        this.say(`  ${own} = 0; #${index};`, `  while (!${done}) begin`);
        this.say(`    #${half} ${own} = 1;`, `    #${half} ${own} = 0;`);
      }
      this.say("  end", "end");
    });
  }

  private initial(hexFiles: RtlFile[]): void {
    const i = this.own("i");
    this.say("", "initial begin");
    this.say(`  ${this.own("errors")} = 0; ${this.own("checks")} = 0; ${this.own("done")} = 0;`);
    this.clocks.forEach((clock, index) => {
      this.say(`  ${this.own(`seed_${clock}`)} = ${index + 1}; ${this.own(`cycle_${clock}`)} = 0;`);
    });
    this.wrapper.cluster.members.forEach(({ request }, member) => {
      const name = this.member(member);
      const words = this.contents.get(request.name);
      const start = words !== undefined || request.initialContents;
      const sure = `{${request.width}{1'b${start ? 1 : 0}}}`;
      this.say(
        `  for (${i} = 0; ${i} < ${request.depth}; ${i} = ${i} + 1) begin`,
        `    ${name("model")}[${i}] = 0; ${name("known")}[${i}] = ${sure};`,
        "  end",
      );
      if (words !== undefined) {
        const path = `${this.wrapper.bench}.${member}.hex`;
        hexFiles.push({ path, text: hexText(words, request.width) });
        this.say(`  $readmemh("${path}", ${name("model")});`);
      }
      for (const port of this.wrapper.interface.members[member]!.ports) {
        if (port.readData !== null) this.say(`  ${name(`${port.port.name}_sure`)} = 0;`);
        const zero = [port.write, port.lanes, port.writeData].filter((signal) => signal !== null);
        if (zero.length > 0) this.say(`  ${zero.map((signal) => `${signal.name} = 0;`).join(" ")}`);
      }
    });
    for (const unit of this.units) {
      const name = this.unit(unit);
      const stage = writingPorts(unit).length > 0 ? 0 : 1;
      this.say(
        `  ${name("stage")} = ${stage}; ${name("step")} = 0; ${name("rest")} = 0; ${name("last")} = 0; ${name("spent")} = 0;`,
      );
      for (const { port, enable, address } of unit.ports) {
        if (enable !== null) this.say(`  ${enable.name} = 0;`);
        this.say(`  ${address.name} = 0;`);
        if (port.reads) this.say(`  ${name(`${port.name}_read`)} = 0;`);
      }
    }
    this.say("end");
  }

  /** The function that gives the n-th word of directed stimulus. */
  private spots(unit: BenchUnit): void {
    const { spots } = unit;
    const name = this.unit(unit)("spot");
    const step = spots.length > 1 ? spots[1]! - spots[0]! : 1;
    const even = spots.every((spot, index) => spot === index * step);
    this.say("", `function integer ${name};`, "  input integer n;");
    if (even) this.say(`  ${name} = n * ${step};`);
    else {
      this.say("  case (n)");
      spots.forEach((spot, index) => {
        this.say(`    ${index}: ${name} = ${spot};`);
      });
      this.say(`    default: ${name} = 0;`, "  endcase");
    }
    this.say("endfunction");
  }

  /** True where a port is driven to write, as an expression. */
  private writesNow(member: number, port: MemberPort): string {
    const own = this.port(member, port);
    return own.enable === null ? own.write!.name : `(${own.enable.name} && ${own.write!.name})`;
  }

  /** Whether a read at one port meets a write at another: one is driven to the same words. */
  private meets(reading: MemberPort, writing: MemberPort): string {
    const most = Math.max(reading.port.words, writing.port.words);
    const at = ({ port, address }: MemberPort) =>
      port.words === most ? address.name : `(${address.name} / ${most / port.words})`;
    return `(${at(reading)} == ${at(writing)})`;
  }

  /** Checks what a port shows, and works out what it is to show after this clock edge. */
  private check(unit: BenchUnit, member: number, port: MemberPort): void {
    const own = this.port(member, port);
    const request = this.request(member);
    const name = this.member(member);
    const p = port.port.name;
    const [expected, sure] = [name(`${p}_expected`), name(`${p}_sure`)];
    const { words } = port.port;
    const width = request.width;
    const fetch = () => {
      for (let word = 0; word < words; word++) {
        const index = words === 1 ? own.address.name : `${own.address.name} * ${words} + ${word}`;
        const part = words === 1 ? "" : `[${word * width} +: ${width}]`;
        this.say(
          `    ${expected}${part} = ${name("model")}[${index}]; ${sure}${part} = ${name("known")}[${index}];`,
        );
      }
    };
    const compare = () => {
      this.say(
        `  if (${sure} !== 0) ${this.own("checks")} = ${this.own("checks")} + 1;`,
        `  if (((${own.readData!.name} ^ ${expected}) & ${sure}) !== 0) begin`,
        `    ${this.own("errors")} = ${this.own("errors")} + 1;`,
        `    if (${this.own("errors")} <= ${PRINTED}) $display("%m at %0t: ${own.readData!.name} is %h, not %h (known bits %h)", $time, ${own.readData!.name}, ${expected}, ${sure});`,
        "  end",
      );
    };
    if (request.read === "async") {
      // Before the edge, and so before any write of it.
      this.say("  begin");
      fetch();
      this.say("  end");
      compare();
      return;
    }
    compare();
    const holds = holdsData(this.wrapper.cluster, this.wrapper.sharing, member);
    // Members that share a read-write port read only in cycles in which none of them is written.
    const writesHere = port.port.writes
      ? unit.members.map((each) => this.port(each, port).write!.name).join(" || ")
      : null;
    const shown =
      request.collision === "any" && writesHere !== null
        ? `${own.enable!.name} && !(${writesHere})`
        : own.enable!.name;
    this.say(`  if (${shown}) begin`);
    fetch();
    if (request.collision === "any" || onTwoClocks(unit)) {
      for (const writing of writingPorts(unit)) {
        if (writing.port.name === p) continue;
        const now = this.writesNow(member, writing);
        this.say(`    if (${now} && ${this.meets(own, writing)}) ${sure} = 0;`);
        if (writing.clock.name === port.clock.name) continue;
        const most = Math.max(words, writing.port.words);
        for (let n = 0; n < RECENT; n++) {
          const recent = this.unit(unit)(`${writing.port.name}_recent${n}`);
          this.say(
            `    if (${recent} >= 0 && ${own.address.name} * ${words} / ${most} == ${recent} / ${most}) ${sure} = 0;`,
          );
        }
      }
    }
    const quiet = holds ? (writesHere === null ? null : own.enable!.name) : "1";
    this.say(quiet === null ? "  end" : `  end else if (${quiet}) ${sure} = 0;`);
  }

  /** Does to the model what a port's write does. */
  private write(member: number, port: MemberPort): void {
    const own = this.port(member, port);
    const request = this.request(member);
    const name = this.member(member);
    const { words } = port.port;
    const lanes = lanesOf(request, 1);
    this.say(`  if (${this.writesNow(member, port)}) begin`);
    for (let word = 0; word < words; word++) {
      const index = words === 1 ? own.address.name : `${own.address.name} * ${words} + ${word}`;
      const step = request.lane ?? request.width;
      for (let lane = 0; lane < Math.max(1, lanes); lane++) {
        const low = lane * step;
        const width = Math.min(step, request.width - low);
        const place = word * Math.max(1, lanes) + lane;
        const when =
          lanes === 0
            ? ""
            : own.lanes!.width === 1
              ? `if (${own.lanes!.name}) `
              : `if (${own.lanes!.name}[${place}]) `;
        const bit = (list: string, from: number) =>
          request.width === 1 && words === 1 ? list : `${list}[${from} +: ${width}]`;
        const part = request.width === 1 ? "" : `[${low} +: ${width}]`;
        const data =
          own.writeData!.width === 1
            ? own.writeData!.name
            : bit(own.writeData!.name, word * request.width + low);
        this.say(
          `    ${when}begin ${name("model")}[${index}]${part} = ${data}; ${name("known")}[${index}]${part} = {${width}{1'b1}}; end`,
        );
      }
    }
    this.say("  end");
  }

  /** What a collision `new` shows: the model after the writes. */
  private refetch(unit: BenchUnit, member: number, port: MemberPort): void {
    const request = this.request(member);
    if (request.collision !== "new" || request.read === "async" || onTwoClocks(unit)) return;
    const own = this.port(member, port);
    const name = this.member(member);
    const p = port.port.name;
    const address = own.address.name;
    this.say(
      `  if (${own.enable!.name}) begin ${name(`${p}_expected`)} = ${name("model")}[${address}]; ${name(`${p}_sure`)} = ${name("known")}[${address}]; end`,
    );
  }

  /** Chooses what a unit's port does next. */
  private drive(unit: BenchUnit, port: MemberPort): void {
    const name = this.unit(unit);
    const clock = port.clock.name;
    const p = port.port.name;
    const { words } = port.port;
    const [on, wr, word] = [name(`${p}_on`), name(`${p}_wr`), name(`${p}_word`)];
    const writers = writingPorts(unit);
    const place = writers.findIndex((writing) => writing.port.name === p);
    const seed = this.own(`seed_${clock}`);
    const spot = name("spot");
    const count = unit.spots.length;
    this.say(`  ${on} = 0; ${wr} = 0; ${word} = 0;`);
    const turn = unit.turn === null ? "" : `if (${this.pick(unit, p)} == ${unit.turn.place}) `;
    this.say(`  ${turn}begin`);
    if (port.port.writes) {
      this.say(
        `    if (${name("stage")} == 0 && (${name("step")} + ${name("step")} / ${count}) % ${writers.length} == ${place} && ${name("step")} < ${count * writers.length}) begin`,
        `      ${on} = 1; ${wr} = 1; ${word} = ${spot}(${name("step")} % ${count});`,
        "    end",
      );
    }
    if (port.port.reads) {
      const read = name(`${p}_read`);
      this.say(
        `    if (${name("stage")} == 1 && ${read} < ${count}) begin`,
        `      ${on} = 1; ${word} = ${spot}(${read}); ${read} = ${read} + 1;`,
        "    end",
      );
    }
    this.say(
      `    if (${name("stage")} == 2) begin`,
      `      ${on} = ({$random(${seed})} % 4) != 0;`,
      ...(port.port.writes
        ? [`      ${wr} = ${port.port.reads ? `({$random(${seed})} % 2) == 0` : "1"};`]
        : []),
      `      case ({$random(${seed})} % 4)`,
      `        0: ${word} = ${spot}({$random(${seed})} % ${count});`,
      `        1: ${word} = ${name("last")};`,
      `        default: ${word} = {$random(${seed})} % ${unit.request.depth};`,
      "      endcase",
      "    end",
      "  end",
    );
    // Two ports do not write one word in one cycle.
    for (const earlier of writers.slice(0, Math.max(0, place))) {
      if (earlier.clock.name !== clock) continue;
      const q = earlier.port.name;
      this.say(
        `  if (${name(`${q}_on`)} && ${name(`${q}_wr`)} && ${wr} && ${word} == ${name(`${q}_word`)}) ${on} = 0;`,
      );
    }
    if (port.port.writes) this.say(`  if (${on} && ${wr}) ${name("last")} = ${word};`);
    const depth = portDepth(unit.request, port.port);
    this.say(`  ${port.address.name} <= ${depth === 1 ? "0" : words === 1 ? word : `${word} / ${words}`};`);
    if (port.enable !== null) this.say(`  ${port.enable.name} <= ${on};`);
    if (!port.port.writes) return;
    // Members that are written together are written in the same cycles; the others each in their own.
    const alone = (member: number) => unit.members.length > 1 && !this.request(member).lockstep!.together;
    for (const member of unit.members) {
      const own = this.port(member, port);
      const some = alone(member) ? ` && (${name("stage")} != 2 || ({$random(${seed})} % 4) != 0)` : "";
      this.say(`  ${own.write!.name} <= ${on} && ${wr}${some};`);
      if (own.lanes !== null) {
        this.say(
          `  ${own.lanes.name} <= (${name("stage")} != 2 || ({$random(${seed})} % 4) == 0) ? {${own.lanes.width}{1'b1}} : ${this.random(clock, own.lanes.width)};`,
        );
      }
      this.say(`  ${own.writeData!.name} <= ${this.random(clock, own.writeData!.width)};`);
    }
  }

  /** The variable that says whose turn it is at a port. */
  private pick(unit: BenchUnit, port: string): string {
    return this.own(`set${unit.turn!.set}_${port}_pick`);
  }

  /** Moves a unit from writing its spots to reading them, and on to random stimulus. */
  private advance(unit: BenchUnit): void {
    const name = this.unit(unit);
    const count = unit.spots.length * writingPorts(unit).length;
    const all = readingPorts(unit)
      .map(({ port }) => `${name(`${port.name}_read`)} >= ${unit.spots.length}`)
      .join(" && ");
    const writes = writingPorts(unit)
      .filter(({ clock }) => clock.name === unit.clock)
      .map(({ port }) => `(${name(`${port.name}_on`)} && ${name(`${port.name}_wr`)})`);
    const elsewhere = writingPorts(unit).some(({ clock }) => clock.name !== unit.clock);
    const wrote = writes.length === 0 ? "0" : writes.join(" || ");
    this.say(
      `  case (${name("stage")})`,
      // A spot whose writer runs on another clock is left to it for a while.
      `    0: if (${wrote}) begin ${name("step")} = ${name("step")} + 1; ${name("rest")} = 0; end`,
      ...(elsewhere
        ? [
            `       else if (${name("step")} < ${count} && ${name("rest")} == ${2 * SETTLE}) begin`,
            `         ${name("step")} = ${name("step")} + 1; ${name("rest")} = 0;`,
            "       end",
          ]
        : []),
      `       else ${name("rest")} = ${name("rest")} + 1;`,
      `    1: if (${all}) ${name("stage")} = 2;`,
      `    default: ${name("spent")} = ${name("spent")} + 1;`,
      "  endcase",
      `  if (${name("stage")} == 0 && ${name("step")} >= ${count} && ${name("rest")} >= ${SETTLE}) ${name("stage")} = 1;`,
    );
  }

  private clockProcess(clock: string, index: number): void {
    const here = ({ clock: own }: MemberPort) => own.name === clock;
    this.say("", `always @(posedge ${clock}) if (!${this.own("done")}) begin`);
    this.say(`  ${this.own(`cycle_${clock}`)} = ${this.own(`cycle_${clock}`)} + 1;`);
    for (const unit of this.units) {
      for (const port of readingPorts(unit).filter(here)) {
        for (const member of unit.members) this.check(unit, member, port);
      }
    }
    for (const unit of this.units) {
      for (const port of writingPorts(unit).filter(here)) {
        for (const member of unit.members) this.write(member, port);
        if (!onTwoClocks(unit)) continue;
        const name = this.unit(unit);
        const recent = (n: number) => name(`${port.port.name}_recent${n}`);
        for (let n = RECENT - 1; n > 0; n--) this.say(`  ${recent(n)} = ${recent(n - 1)};`);
        const now = unit.members.map((member) => this.writesNow(member, port)).join(" || ");
        this.say(`  ${recent(0)} = (${now}) ? ${port.address.name} * ${port.port.words} : -1;`);
      }
    }
    for (const unit of this.units) {
      for (const port of readingPorts(unit).filter(here)) {
        for (const member of unit.members) this.refetch(unit, member, port);
      }
    }
    const picked = new Set<string>();
    for (const unit of this.units) {
      if (unit.turn === null) continue;
      const all = this.units.filter((other) => other.turn?.set === unit.turn!.set);
      const random = all.map((other) => `${this.unit(other)("stage")} == 2`).join(" && ");
      for (const { port } of unit.ports.filter(here)) {
        const pick = this.pick(unit, port.name);
        if (picked.has(pick)) continue;
        picked.add(pick);
        const seed = this.own(`seed_${clock}`);
        this.say(
          `  ${pick} = (${random}) ? {$random(${seed})} % ${unit.turn.of} : ${this.own(`cycle_${clock}`)} % ${unit.turn.of};`,
        );
      }
    }
    for (const unit of this.units) {
      for (const port of unit.ports.filter(here)) this.drive(unit, port);
      if (unit.clock === clock) this.advance(unit);
    }
    if (index === 0) this.finish(clock);
    this.say("end");
  }

  /** Ends the run: the clocks stop, and with them the simulation. */
  private finish(clock: string): void {
    const { name } = this.wrapper;
    const [errors, checks, done] = [this.own("errors"), this.own("checks"), this.own("done")];
    const spent = this.units
      .map((unit) => `${this.unit(unit)("spent")} >= ${this.own("CYCLES")}`)
      .join(" && ");
    const longest = this.units.reduce(
      (sum, unit) => sum + unit.spots.length * (1 + 10 * writingPorts(unit).length) * (unit.turn?.of ?? 1),
      1000,
    );
    this.say(
      `  if (${spent}) begin`,
      `    ${done} = 1;`,
      `    if (${errors} == 0 && ${checks} > 0) $display("PASS ${name}: %0d reads", ${checks});`,
      `    else $display("FAIL ${name}: %0d errors in %0d reads", ${errors}, ${checks});`,
      `  end else if (${this.own(`cycle_${clock}`)} > ${10 * longest} + 20 * ${this.own("CYCLES")}) begin`,
      `    ${done} = 1;`,
      `    $display("FAIL ${name}: it did not come to its end");`,
      "  end",
    );
  }

  text(): { readonly text: string; readonly files: readonly RtlFile[] } {
    const hexFiles: RtlFile[] = [];
    const { name } = this.wrapper;
    this.lines.push(
      `// Self-checking bench of ${name}: directed and random stimulus against flat arrays.`,
      "// The simulation ends by itself and prints one line that starts with PASS or FAIL.",
      `module ${this.wrapper.bench};`,
    );
    this.say(`parameter ${this.own("CYCLES")} = ${CYCLES};`);
    this.declareState();
    for (const unit of this.units) {
      if (unit.turn === null || unit.turn.place !== 0) continue;
      for (const { port } of unit.ports) this.say(`integer ${this.pick(unit, port.name)};`);
    }
    this.dut();
    for (const unit of this.units) this.spots(unit);
    this.clockProcesses();
    this.initial(hexFiles);
    this.clocks.forEach((clock, index) => {
      this.clockProcess(clock, index);
    });
    return {
      text: `${this.lines.join("\n")}\nendmodule\n`,
      files: hexFiles,
    };
  }
}

/** The self-checking bench of a wrapper, and the hex files that it reads. */
export function verilogBench(
  wrapper: Wrapper,
  contents: ReadonlyMap<string, readonly bigint[]>,
): { readonly text: string; readonly files: readonly RtlFile[] } {
  return new Bench(wrapper, contents).text();
}
