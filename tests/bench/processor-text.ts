import { randomFrom } from "./random.js";

/** What a generated source holds. */
export interface ProcessorText {
  readonly text: string;
  /** Depth, width and ports of each memory, by name. */
  readonly memories: ReadonlyMap<string, string>;
  readonly lines: number;
}

/** Lines that one register with its logic takes. */
const LINES_EACH = 12;

/**
 * An invented processor as one module in one file, as generators write it: a wire for every operator, a process for every
 * register, a comment of origin on every line, and memories whose ports are wires. The same seed gives the same text.
 */
export function processorText(lines: number, seed: number): ProcessorText {
  const random = randomFrom(seed);
  const registers = Math.floor(lines / LINES_EACH);
  const head = ["module generated(input clock, input reset, input [31:0] io_in, output [31:0] io_out);"];
  const body: string[] = [];
  const memories = new Map<string, string>();
  const any = (below: number) => random.int(0, Math.max(0, below - 1));
  for (let i = 0; i < registers; i++) {
    const at = `// @[core.gen ${i}:${random.int(1, 80)}]`;
    head.push(`  wire [31:0] _T_${i}; ${at}`, `  wire [31:0] _GEN_${i}; ${at}`, `  reg [31:0] r_${i}; ${at}`);
    body.push(
      `  assign _T_${i} = r_${i} + {16'h0, _GEN_${any(registers)}[15:0]}; ${at}`,
      `  assign _GEN_${i} = r_${any(registers)}[${random.int(0, 31)}] ? _T_${any(i)} : (io_in == 32'h${i.toString(16)} ? 32'd5 : r_${any(registers)}); ${at}`,
      "  always @(posedge clock) begin",
      "    if (reset) begin",
      `      r_${i} <= 32'h0; ${at}`,
      `    end else if (_GEN_${i}[3]) begin ${at}`,
      `      r_${i} <= _T_${i} ^ io_in; ${at}`,
      "    end",
      "  end",
    );
    if (i % 100 !== 0) continue;
    const name = `mem_${i / 100}`;
    const depth = random.pick([64, 256, 1024]);
    const width = random.pick([8, 20, 32]);
    const bits = Math.log2(depth);
    const clocked = random.chance(50);
    head.push(
      `  reg [${width - 1}:0] ${name} [0:${depth - 1}]; ${at}`,
      `  wire [${bits - 1}:0] ${name}_rd_addr; wire [${width - 1}:0] ${name}_rd_data; ${at}`,
      `  wire [${bits - 1}:0] ${name}_wr_addr; wire ${name}_wr_en; reg [${bits - 1}:0] ${name}_rd_pipe; ${at}`,
    );
    body.push(
      `  assign ${name}_rd_addr = ${clocked ? `${name}_rd_pipe` : `_T_${i}[${bits - 1}:0]`}; ${at}`,
      `  assign ${name}_rd_data = ${name}[${name}_rd_addr]; ${at}`,
      `  assign ${name}_wr_addr = _GEN_${any(registers)}[${bits - 1}:0]; assign ${name}_wr_en = _T_${any(registers)}[1]; ${at}`,
      "  always @(posedge clock) begin",
      `    if (${name}_wr_en) ${name}[${name}_wr_addr] <= r_${any(registers)}[${width - 1}:0]; ${at}`,
      `    ${name}_rd_pipe <= r_${any(registers)}[${bits - 1}:0]; ${at}`,
      "  end",
    );
    memories.set(`generated_${name}`, `${depth}x${width} 1r1w${clocked ? "" : " async"}`);
  }
  const all = [...head, ...body, "  assign io_out = r_0;", "endmodule"];
  return { text: `${all.join("\n")}\n`, memories, lines: all.length };
}
