import type { ArrayLeaf, BlockLeaf, BlockLeafPort, Leaf, Start } from "../leaves.js";
import { bitsFor } from "../logical-ports.js";
import type { Expr, Item, RtlModule } from "../netlist.js";

const LIBRARIES = ["library ieee;", "use ieee.std_logic_1164.all;", "use ieee.numeric_std.all;"];

const type = (width: number) => (width === 1 ? "std_logic" : `std_logic_vector(${width - 1} downto 0)`);

function literal(value: number, width: number): string {
  return width === 1 ? `'${value}'` : `"${value.toString(2).padStart(width, "0")}"`;
}

function sliceText(name: string, whole: number, low: number, width: number): string {
  if (low === 0 && width === whole) return name;
  return width === 1 ? `${name}(${low})` : `${name}(${low + width - 1} downto ${low})`;
}

const comment = (lines: readonly string[]) => lines.map((line) => (line === "" ? "--" : `-- ${line}`));

/** Writes one module in VHDL-2008. What VHDL takes only in a statement of its own gets a signal of its own. */
class ModulePrinter {
  private readonly declarations: string[] = [];
  private readonly statements: string[] = [];
  private helpers = 0;
  private readonly taken: ReadonlySet<string>;

  constructor(private readonly module: RtlModule) {
    const names = [
      ...module.ports.map(({ signal }) => signal.name),
      ...module.items.flatMap((item) =>
        item.item === "wire" || item.item === "register"
          ? [item.signal.name]
          : item.item === "instance"
            ? [item.name]
            : [],
      ),
    ];
    this.taken = new Set(names.map((name) => name.toLowerCase()));
  }

  /** The value as a signal of its own. */
  private helper(value: Expr): string {
    let name = "";
    do {
      name = `part_${this.helpers++}`;
    } while (this.taken.has(name));
    this.declarations.push(`  signal ${name} : ${type(value.width)};`);
    this.statements.push(`  ${name} <= ${this.whole(value)};`);
    return name;
  }

  /** A value where a statement takes conditions: the right side of an assignment. */
  private whole(value: Expr): string {
    if (value.op !== "choose") return this.text(value);
    return `${this.text(value.then)} when ${this.text(value.when)} else ${this.whole(value.otherwise)}`;
  }

  /** A value anywhere else. */
  private text(value: Expr): string {
    switch (value.op) {
      case "signal":
        return value.name;
      case "bits":
        return sliceText(value.of.name, value.of.width, value.low, value.width);
      case "const":
        return literal(value.value, value.width);
      case "join":
        return `(${value.parts.map((part) => this.text(part)).join(" & ")})`;
      case "not":
        return `(not ${this.text(value.of)})`;
      case "and":
      case "or":
      case "xor":
        return `(${value.parts.map((part) => this.text(part)).join(` ${value.op} `)})`;
      case "is":
        return `(${this.text(value.of)} ?= ${literal(value.value, value.of.width)})`;
      case "same":
        return `(${this.text(value.a)} ?= ${this.text(value.b)})`;
      case "at-least":
      case "at-most":
        return `(unsigned(${this.text(value.of)}) ${value.op === "at-least" ? "?>=" : "?<="} ${value.value})`;
      case "choose":
        return this.helper(value);
      case "plus":
      case "minus": {
        const sign = value.op === "plus" ? "+" : "-";
        const operand = (part: Expr) => `unsigned'(${this.vector(part)})`;
        const sum = `std_logic_vector(${operand(value.a)} ${sign} ${operand(value.b)})`;
        return value.width === 1 ? `(${this.text(value.a)} xor ${this.text(value.b)})` : sum;
      }
    }
  }

  /** A value as `unsigned` takes it. */
  private vector(value: Expr): string {
    return value.op === "const" ? literal(value.value, value.width) : `unsigned(${this.text(value)})`;
  }

  private item(item: Item): void {
    switch (item.item) {
      case "comment":
        this.statements.push("", `  -- ${item.text}`);
        return;
      case "wire":
        this.declarations.push(`  signal ${item.signal.name} : ${type(item.signal.width)};`);
        return;
      case "assign": {
        const target = sliceText(item.target.name, item.target.width, item.low, item.value.width);
        const value = this.whole(item.value);
        this.statements.push(`  ${target} <= ${value};`);
        return;
      }
      case "register": {
        const { signal, initial, enable, next, clock } = item;
        const start = initial === null ? "" : ` := ${literal(initial, signal.width)}`;
        this.declarations.push(`  signal ${signal.name} : ${type(signal.width)}${start};`);
        const value = this.text(next);
        const when = enable === null ? "" : ` and ${this.text(enable)} = '1'`;
        this.statements.push(
          `  process (${this.text(clock)}) begin`,
          `    if rising_edge(${this.text(clock)})${when} then ${signal.name} <= ${value}; end if;`,
          "  end process;",
        );
        return;
      }
      case "instance": {
        const pins = item.pins.map(({ pin, value }) => {
          const plain = value.op === "signal" || value.op === "const";
          return `      ${pin} => ${plain ? this.text(value) : this.helper(value)}`;
        });
        const contents = item.contents === null ? [] : [`    generic map (contents => "${item.contents}")`];
        this.statements.push(`  ${item.name} : entity work.${item.module}`, ...contents, "    port map (");
        this.statements.push(pins.join(",\n"), "    );");
        return;
      }
    }
  }

  print(): string {
    const { name, header, ports, items } = this.module;
    for (const item of items) this.item(item);
    const list = ports.map(
      ({ signal, direction }) => `    ${signal.name} : ${direction} ${type(signal.width)}`,
    );
    return `${[
      ...comment(header),
      ...LIBRARIES,
      "",
      `entity ${name} is`,
      "  port (",
      list.join(";\n"),
      "  );",
      `end entity ${name};`,
      "",
      `architecture wrapper of ${name} is`,
      ...this.declarations,
      "begin",
      ...this.statements,
      `end architecture wrapper;`,
    ].join("\n")}\n`;
  }
}

/** The text of a module in VHDL-2008. */
export function vhdlModule(module: RtlModule): string {
  return new ModulePrinter(module).print();
}

interface LeafPort {
  readonly direction: "in" | "out";
  readonly name: string;
  readonly width: number;
}

/** Entity and architecture of a leaf: one process that owns the array, reads before it writes. */
function leafFile(
  name: string,
  about: string,
  ports: readonly LeafPort[],
  array: { readonly depth: number; readonly width: number; readonly start: Start },
  sensitive: readonly string[],
  body: readonly string[],
): string {
  const generic = array.start === "file" ? ['  generic (contents : string := "contents.hex");'] : [];
  const textio = array.start === "file" ? ["use std.textio.all;"] : [];
  const digits = 4 * Math.ceil(array.width / 4);
  const fromFile = [
    "  impure function from_file return cells_type is",
    "    file source : text open read_mode is contents;",
    "    variable row : line;",
    `    variable word : std_logic_vector(${digits - 1} downto 0);`,
    "    variable found : cells_type;",
    "  begin",
    "    for i in found'range loop",
    "      readline(source, row);",
    "      hread(row, word);",
    `      found(i) := word(${array.width - 1} downto 0);`,
    "    end loop;",
    "    return found;",
    "  end function;",
  ];
  const first = { none: "", zeros: " := (others => (others => '0'))", file: " := from_file" }[array.start];
  return `${[
    `-- ${about}`,
    ...LIBRARIES,
    ...textio,
    "",
    `entity ${name} is`,
    ...generic,
    "  port (",
    ports.map((port) => `    ${port.name} : ${port.direction} ${type(port.width)}`).join(";\n"),
    "  );",
    `end entity ${name};`,
    "",
    `architecture behaviour of ${name} is`,
    `  type cells_type is array (0 to ${array.depth - 1}) of std_logic_vector(${array.width - 1} downto 0);`,
    ...(array.start === "file" ? fromFile : []),
    "begin",
    `  process (${[...new Set(sensitive)].join(", ")})`,
    `    variable cells : cells_type${first};`,
    "  begin",
    ...body.map((line) => `    ${line}`),
    "  end process;",
    "end architecture behaviour;",
  ].join("\n")}\n`;
}

/** A number from an address port. */
const indexOf = (address: string, width: number) =>
  width === 1 ? `to_integer(unsigned'(0 => ${address}))` : `to_integer(unsigned(${address}))`;

/** Bits of a cell; a cell is always a vector. */
function cellBits(index: string, whole: number, low: number, width: number): string {
  return low === 0 && width === whole
    ? `cells(${index})`
    : `cells(${index})(${low + width - 1} downto ${low})`;
}

/** Bits of a port as a vector, where a port of one bit is a scalar. */
function portBits(name: string, whole: number, low: number, width: number): string {
  if (whole === 1) return `std_logic_vector'(0 => ${name})`;
  if (low === 0 && width === whole) return name;
  return `${name}(${low + width - 1} downto ${low})`;
}

function enableBit(name: string, count: number, index: number): string {
  return count === 1 ? `${name} = '1'` : `${name}(${index}) = '1'`;
}

function cellsOf(leaf: BlockLeaf, port: BlockLeafPort): { index: string; low: number }[] {
  const ratio = port.width / leaf.unit;
  const address = indexOf(`${port.name}_addr`, Math.max(1, bitsFor(port.depth)));
  return Array.from({ length: ratio }, (_, step) => ({
    index: ratio === 1 ? address : `${address} * ${ratio} + ${step}`,
    low: step * leaf.unit,
  }));
}

/** A read of a cell, where its address may lie beyond the array: that must not end a simulation. */
function guarded(index: string, cells: number, statement: string): string {
  return 2 ** bitsFor(cells) === cells ? statement : `if ${index} < ${cells} then ${statement} end if;`;
}

function blockReads(leaf: BlockLeaf, port: BlockLeafPort): string[] {
  return cellsOf(leaf, port).map(({ index, low }) => {
    const { name, width } = port;
    const target = width === 1 ? `${name}_rdata` : portBits(`${name}_rdata`, width, low, leaf.unit);
    const cell = width === 1 ? `cells(${index})(0)` : `cells(${index})`;
    return guarded(index, leaf.units, `${target} <= ${cell};`);
  });
}

function blockWrites(leaf: BlockLeaf, port: BlockLeafPort): string[] {
  const { name, lane, width } = port;
  const lanes = width / lane;
  const lines: string[] = [];
  for (let index = 0; index < lanes; index++) {
    const when = enableBit(`${name}_write`, lanes, index);
    for (const { index: cell, low } of cellsOf(leaf, port)) {
      const from = Math.max(low, index * lane);
      const to = Math.min(low + leaf.unit, (index + 1) * lane) - 1;
      if (to < from) continue;
      const data = portBits(`${name}_wdata`, width, from, to - from + 1);
      lines.push(
        `if ${when} then ${cellBits(cell, leaf.unit, from - low, to - from + 1)} := ${data}; end if;`,
      );
    }
  }
  return lines;
}

/** Data that a port shows of what it writes itself, lane by lane. */
function shownWrites({ name, lane, width }: BlockLeafPort): string[] {
  const lanes = width / lane;
  return Array.from({ length: lanes }, (_, index) => {
    const part = (signal: string) => sliceText(signal, width, index * lane, lane);
    const when = enableBit(`${name}_write`, lanes, index);
    return `  if ${when} then ${part(`${name}_rdata`)} <= ${part(`${name}_wdata`)}; end if;`;
  });
}

function blockText(name: string, leaf: BlockLeaf): string {
  const ports: LeafPort[] = [];
  const sensitive: string[] = [];
  const body: string[] = [];
  for (const port of leaf.ports) {
    const p = port.name;
    if (port.writes || !port.asynchronous) {
      ports.push({ direction: "in", name: `${p}_clk`, width: 1 });
      sensitive.push(`${p}_clk`);
    }
    ports.push({ direction: "in", name: `${p}_addr`, width: Math.max(1, bitsFor(port.depth)) });
    if (port.reads && !port.asynchronous) ports.push({ direction: "in", name: `${p}_en`, width: 1 });
    if (port.writes) {
      ports.push({ direction: "in", name: `${p}_write`, width: port.width / port.lane });
      ports.push({ direction: "in", name: `${p}_wdata`, width: port.width });
    }
    if (port.reads) ports.push({ direction: "out", name: `${p}_rdata`, width: port.width });
    if (port.reads && !port.asynchronous) {
      const none = port.width === port.lane ? "'0'" : `(${p}_write'range => '0')`;
      const quiet = port.writes && port.during === "hold" ? ` and ${p}_write = ${none}` : "";
      body.push(`if rising_edge(${p}_clk) and ${p}_en = '1'${quiet} then`);
      body.push(...blockReads(leaf, port).map((line) => `  ${line}`));
      if (port.writes && port.during === "new") body.push(...shownWrites(port));
      body.push("end if;");
    }
  }
  for (const port of leaf.ports.filter(({ writes }) => writes)) {
    body.push(`if rising_edge(${port.name}_clk) then`);
    body.push(...blockWrites(leaf, port).map((line) => `  ${line}`), "end if;");
  }
  for (const port of leaf.ports.filter(({ reads, asynchronous }) => reads && asynchronous)) {
    sensitive.push(`${port.name}_addr`);
    body.push(...blockReads(leaf, port));
  }
  const shapes = leaf.ports.map(({ depth, width }) => `${depth}x${width}`).join(" and ");
  const array = { depth: leaf.units, width: leaf.unit, start: leaf.start };
  return leafFile(name, `One block: ${leaf.kind} as ${shapes}.`, ports, array, sensitive, body);
}

function arrayText(name: string, leaf: ArrayLeaf): string {
  const width = Math.max(1, bitsFor(leaf.depth));
  const ports: LeafPort[] = [];
  const sensitive: string[] = [];
  const body: string[] = [];
  if (leaf.writes > 0) {
    ports.push({ direction: "in", name: "clk", width: 1 });
    sensitive.push("clk");
    body.push("if rising_edge(clk) then");
  }
  for (let i = 0; i < leaf.writes; i++) {
    ports.push({ direction: "in", name: `w${i}_lanes`, width: leaf.lanes.length });
    ports.push({ direction: "in", name: `w${i}_addr`, width });
    ports.push({ direction: "in", name: `w${i}_data`, width: leaf.width });
    leaf.lanes.forEach((lane, index) => {
      const cell = cellBits(indexOf(`w${i}_addr`, width), leaf.width, lane.low, lane.width);
      const data = portBits(`w${i}_data`, leaf.width, lane.low, lane.width);
      body.push(
        `  if ${enableBit(`w${i}_lanes`, leaf.lanes.length, index)} then ${cell} := ${data}; end if;`,
      );
    });
  }
  if (leaf.writes > 0) body.push("end if;");
  for (let i = 0; i < leaf.reads; i++) {
    ports.push({ direction: "in", name: `r${i}_addr`, width });
    ports.push({ direction: "out", name: `r${i}_data`, width: leaf.width });
    sensitive.push(`r${i}_addr`);
    const index = indexOf(`r${i}_addr`, width);
    const read = `r${i}_data <= cells(${index})${leaf.width === 1 ? "(0)" : ""};`;
    body.push(guarded(index, leaf.depth, read));
  }
  const what = {
    "lut-memory": "One copy in LUT memory",
    registers: "An array of registers",
    table: "A table in registers",
  }[leaf.home];
  return leafFile(name, `${what}: ${leaf.depth} words of ${leaf.width} bits.`, ports, leaf, sensitive, body);
}

/** The text of a leaf in VHDL-2008. */
export function vhdlLeaf(name: string, leaf: Leaf): string {
  return leaf.sort === "block" ? blockText(name, leaf) : arrayText(name, leaf);
}
