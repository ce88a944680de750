import type { ArrayLeaf, BlockLeaf, BlockLeafPort, Leaf } from "../leaves.js";
import { bitsFor } from "../logical-ports.js";
import type { Expr, Item, RtlModule, RtlPort, Signal } from "../netlist.js";

/** The two dialects: IEEE 1364-2005, and IEEE 1800 with its own kinds of processes. */
export type Dialect = "verilog" | "systemverilog";

const range = (width: number) => (width === 1 ? "" : `[${width - 1}:0] `);

function number(value: number, width: number): string {
  return value === 0 && width > 1 ? `{${width}{1'b0}}` : `${width}'d${value}`;
}

function sliceText(signal: Signal, low: number, width: number): string {
  if (low === 0 && width === signal.width) return signal.name;
  return width === 1 ? `${signal.name}[${low}]` : `${signal.name}[${low + width - 1}:${low}]`;
}

/** An expression; parentheses around everything that has an operator. */
function exprText(expr: Expr): string {
  switch (expr.op) {
    case "signal":
      return expr.name;
    case "bits":
      return sliceText(expr.of, expr.low, expr.width);
    case "const":
      return number(expr.value, expr.width);
    case "join":
      return `{${expr.parts.map(exprText).join(", ")}}`;
    case "not":
      return `~${exprText(expr.of)}`;
    case "and":
    case "or":
    case "xor": {
      const sign = { and: " & ", or: " | ", xor: " ^ " }[expr.op];
      return `(${expr.parts.map((part) => operandText(part, expr.op)).join(sign)})`;
    }
    case "is":
      return `(${exprText(expr.of)} == ${number(expr.value, expr.of.width)})`;
    case "at-least":
      return `(${exprText(expr.of)} >= ${number(expr.value, expr.of.width)})`;
    case "at-most":
      return `(${exprText(expr.of)} <= ${number(expr.value, expr.of.width)})`;
    case "same":
      return `(${exprText(expr.a)} == ${exprText(expr.b)})`;
    case "choose":
      return `(${exprText(expr.when)} ? ${exprText(expr.then)} : ${exprText(expr.otherwise)})`;
    case "plus":
    case "minus":
      return `(${exprText(expr.a)} ${expr.op === "plus" ? "+" : "-"} ${exprText(expr.b)})`;
  }
}

/** A part of an `and`, `or` or `xor`: one of the same operator needs no parentheses of its own. */
function operandText(part: Expr, op: Expr["op"]): string {
  const text = exprText(part);
  return part.op === op && part.op !== "choose" ? text.slice(1, -1) : text;
}

function comment(lines: readonly string[]): string {
  return lines.map((line) => (line === "" ? "//" : `// ${line}`)).join("\n");
}

class Printer {
  constructor(private readonly dialect: Dialect) {}

  get variable(): string {
    return this.dialect === "verilog" ? "reg" : "logic";
  }

  get net(): string {
    return this.dialect === "verilog" ? "wire" : "logic";
  }

  clocked(clock: string): string {
    return this.dialect === "verilog" ? `always @(posedge ${clock})` : `always_ff @(posedge ${clock})`;
  }

  private item(item: Item): string[] {
    switch (item.item) {
      case "comment":
        return ["", `  // ${item.text}`];
      case "wire":
        return [`  ${this.net} ${range(item.signal.width)}${item.signal.name};`];
      case "assign": {
        const target = sliceText(item.target, item.low, item.value.width);
        return [`  assign ${target} = ${exprText(item.value)};`];
      }
      case "register": {
        const { signal, initial, enable, next, clock } = item;
        const start = initial === null ? "" : ` = ${number(initial, signal.width)}`;
        const set = `${signal.name} <= ${exprText(next)};`;
        return [
          `  ${this.variable} ${range(signal.width)}${signal.name}${start};`,
          `  ${this.clocked(exprText(clock))} ${enable === null ? "" : `if (${exprText(enable)}) `}${set}`,
        ];
      }
      case "instance": {
        const pins = item.pins.map(({ pin, value }) => `    .${pin}(${exprText(value)})`).join(",\n");
        const contents = item.contents === null ? "" : ` #(.CONTENTS("${item.contents}"))`;
        return [`  ${item.module}${contents} ${item.name} (`, pins, "  );"];
      }
    }
  }

  /** Items in order; a wire that is driven whole in the next one is declared with its value. */
  private body(items: readonly Item[]): string[] {
    const lines: string[] = [];
    for (let index = 0; index < items.length; index++) {
      const item = items[index]!;
      const next = items[index + 1];
      const whole = next?.item === "assign" && item.item === "wire" && next.target === item.signal;
      if (whole && next.value.width === item.signal.width) {
        lines.push(`  wire ${range(item.signal.width)}${item.signal.name} = ${exprText(next.value)};`);
        index++;
      } else lines.push(...this.item(item));
    }
    return lines;
  }

  private port({ signal, direction }: RtlPort): string {
    return `  ${direction === "in" ? "input " : "output"} ${this.net} ${range(signal.width)}${signal.name}`;
  }

  module({ name, header, ports, items, unread }: RtlModule & { readonly unread: readonly Expr[] }): string {
    const lines = [
      comment(header),
      `module ${name} (`,
      ports.map((port) => this.port(port)).join(",\n"),
      ");",
      ...this.body(items),
    ];
    if (unread.length > 0) {
      lines.push("", "  // Bits that nothing reads: padding of words.");
      lines.push(`  wire unused = &{1'b0, ${unread.map(exprText).join(", ")}};`);
    }
    return `${[...lines, "endmodule"].join("\n")}\n`;
  }

  /** Lines that fill an array at start. */
  private start(start: BlockLeaf["start"], words: number, width: number): string[] {
    if (start === "file") return ["  initial $readmemh(CONTENTS, cells);"];
    if (start === "none") return [];
    return ["  integer i;", `  initial for (i = 0; i < ${words}; i = i + 1) cells[i] = ${number(0, width)};`];
  }

  private leafPorts(
    list: readonly { direction: "in" | "out"; name: string; width: number; held?: boolean }[],
  ): string {
    return list
      .map(({ direction, name, width, held }) => {
        const type = held ? this.variable : this.net;
        return `  ${direction === "in" ? "input " : "output"} ${type} ${range(width)}${name}`;
      })
      .join(",\n");
  }

  block(name: string, leaf: BlockLeaf): string {
    const lists = leaf.ports.flatMap((port) => {
      const p = port.name;
      return [
        { direction: "in" as const, name: `${p}_clk`, width: 1, on: port.writes || !port.asynchronous },
        { direction: "in" as const, name: `${p}_addr`, width: Math.max(1, bitsFor(port.depth)), on: true },
        { direction: "in" as const, name: `${p}_en`, width: 1, on: port.reads && !port.asynchronous },
        { direction: "in" as const, name: `${p}_write`, width: port.width / port.lane, on: port.writes },
        { direction: "in" as const, name: `${p}_wdata`, width: port.width, on: port.writes },
        {
          direction: "out" as const,
          name: `${p}_rdata`,
          width: port.width,
          on: port.reads,
          held: !port.asynchronous,
        },
      ].filter(({ on }) => on);
    });
    const parameter = leaf.start === "file" ? ' #(parameter CONTENTS = "contents.hex")' : "";
    const shapes = leaf.ports.map(({ depth, width }) => `${depth}x${width}`).join(" and ");
    const lines = [
      `// One block: ${leaf.kind} as ${shapes}.`,
      `module ${name}${parameter} (`,
      this.leafPorts(lists),
      ");",
      `  ${this.variable} ${range(leaf.unit)}cells [0:${leaf.units - 1}];`,
      ...this.start(leaf.start, leaf.units, leaf.unit),
      ...leaf.ports.flatMap((port) => this.blockPort(leaf, port)),
      "endmodule",
    ];
    return `${lines.join("\n")}\n`;
  }

  /** The cells that one word of a port takes: index text, and the bits of the word in it. */
  private cells(leaf: BlockLeaf, port: BlockLeafPort): { index: string; low: number }[] {
    const ratio = port.width / leaf.unit;
    const address = `${port.name}_addr`;
    if (ratio === 1) return [{ index: address, low: 0 }];
    const width = bitsFor(ratio);
    return Array.from({ length: ratio }, (_, step) => ({
      index:
        2 ** width !== ratio
          ? `${address} * ${ratio} + ${step}`
          : port.depth === 1
            ? `${width}'d${step}`
            : `{${address}, ${width}'d${step}}`,
      low: step * leaf.unit,
    }));
  }

  private writes(leaf: BlockLeaf, port: BlockLeafPort): string[] {
    const { name: p, lane } = port;
    const lanes = port.width / lane;
    const lines: string[] = [];
    for (let index = 0; index < lanes; index++) {
      const when = lanes === 1 ? `${p}_write` : `${p}_write[${index}]`;
      for (const { index: cell, low } of this.cells(leaf, port)) {
        const from = Math.max(low, index * lane);
        const to = Math.min(low + leaf.unit, (index + 1) * lane) - 1;
        if (to < from) continue;
        const whole = to - from + 1 === leaf.unit;
        const data: Signal = { op: "signal", name: `${p}_wdata`, width: port.width };
        const target: Signal = { op: "signal", name: `cells[${cell}]`, width: leaf.unit };
        const place = whole ? target.name : sliceText(target, from - low, to - from + 1);
        lines.push(`if (${when}) ${place} <= ${sliceText(data, from, to - from + 1)};`);
        if (port.reads && port.during === "new") {
          const shown: Signal = { op: "signal", name: `${p}_rdata`, width: port.width };
          const part = (signal: Signal) => sliceText(signal, from, to - from + 1);
          lines.push(`if (${when}) ${part(shown)} <= ${part(data)};`);
        }
      }
    }
    return lines;
  }

  private blockPort(leaf: BlockLeaf, port: BlockLeafPort): string[] {
    const { name: p } = port;
    const word = this.cells(leaf, port).map(({ index }) => `cells[${index}]`);
    const value = word.length === 1 ? word[0]! : `{${word.reverse().join(", ")}}`;
    const body: string[] = [];
    if (port.asynchronous) {
      const lines = port.reads ? [`  assign ${p}_rdata = ${value};`] : [];
      if (!port.writes) return lines;
      return [...lines, ...this.process(`${p}_clk`, this.writes(leaf, port))];
    }
    if (port.reads && !port.writes) body.push(`if (${p}_en) ${p}_rdata <= ${value};`);
    else if (port.reads) {
      const quiet = port.during === "hold" ? ` && !(${port.width > port.lane ? "|" : ""}${p}_write)` : "";
      body.push(`if (${p}_en${quiet}) ${p}_rdata <= ${value};`);
    }
    if (port.writes) body.push(...this.writes(leaf, port));
    return this.process(`${p}_clk`, body);
  }

  private process(clock: string, body: readonly string[]): string[] {
    // Two ports of one array: a language that asks for one process a variable takes plain always.
    return [`  always @(posedge ${clock}) begin`, ...body.map((line) => `    ${line}`), "  end"];
  }

  array(name: string, leaf: ArrayLeaf): string {
    const address = Math.max(1, bitsFor(leaf.depth));
    const list: { direction: "in" | "out"; name: string; width: number }[] = [];
    if (leaf.writes > 0) list.push({ direction: "in", name: "clk", width: 1 });
    for (let i = 0; i < leaf.writes; i++) {
      list.push({ direction: "in", name: `w${i}_lanes`, width: leaf.lanes.length });
      list.push({ direction: "in", name: `w${i}_addr`, width: address });
      list.push({ direction: "in", name: `w${i}_data`, width: leaf.width });
    }
    for (let i = 0; i < leaf.reads; i++) {
      list.push({ direction: "in", name: `r${i}_addr`, width: address });
      list.push({ direction: "out", name: `r${i}_data`, width: leaf.width });
    }
    const what = {
      "lut-memory": "One copy in LUT memory",
      registers: "An array of registers",
      table: "A table in registers",
    }[leaf.home];
    const parameter = leaf.start === "file" ? ' #(parameter CONTENTS = "contents.hex")' : "";
    const body: string[] = [];
    for (let i = 0; i < leaf.writes; i++) {
      leaf.lanes.forEach(({ low, width }, lane) => {
        const when = leaf.lanes.length === 1 ? `w${i}_lanes` : `w${i}_lanes[${lane}]`;
        const data: Signal = { op: "signal", name: `w${i}_data`, width: leaf.width };
        const cell: Signal = { op: "signal", name: `cells[w${i}_addr]`, width: leaf.width };
        body.push(`if (${when}) ${sliceText(cell, low, width)} <= ${sliceText(data, low, width)};`);
      });
    }
    const lines = [
      `// ${what}: ${leaf.depth} words of ${leaf.width} bits.`,
      `module ${name}${parameter} (`,
      this.leafPorts(list),
      ");",
      `  ${this.variable} ${range(leaf.width)}cells [0:${leaf.depth - 1}];`,
      ...this.start(leaf.start, leaf.depth, leaf.width),
      ...Array.from({ length: leaf.reads }, (_, i) => `  assign r${i}_data = cells[r${i}_addr];`),
      ...(leaf.writes > 0 ? this.process("clk", body) : []),
      "endmodule",
    ];
    return `${lines.join("\n")}\n`;
  }
}

/** The text of a module. */
export function moduleText(
  module: RtlModule & { readonly unread: readonly Expr[] },
  dialect: Dialect,
): string {
  return new Printer(dialect).module(module);
}

/** The text of a leaf. */
export function leafText(name: string, leaf: Leaf, dialect: Dialect): string {
  const printer = new Printer(dialect);
  return leaf.sort === "block" ? printer.block(name, leaf) : printer.array(name, leaf);
}
