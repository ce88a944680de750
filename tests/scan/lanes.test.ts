import { describe, expect, it } from "vitest";
import { around, briefs, scanText } from "./scan-text.js";

const READ = "always @(posedge clk) q <= x[ra];";

/** Name, declarations and writes, memory, and the codes of the questions. Sources of our own. */
const CASES: readonly (readonly [string, string, string, ...string[]])[] = [
  [
    "bytes in a loop",
    "reg [31:0] x [0:1023]; integer i; always @(posedge clk) for (i = 0; i < 4; i = i + 1) if (be[i]) x[wa][8*i +: 8] <= d[8*i +: 8];",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "bytes in a loop, counted down from the top",
    "reg [31:0] x [0:1023]; always @(posedge clk) for (int i = 3; i >= 0; i--) if (be[i]) x[wa][8*i+7 -: 8] <= d[8*i +: 8];",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "bytes written out",
    `reg [31:0] x [0:1023]; always @(posedge clk) begin if (be[0]) x[wa][7:0] <= d[7:0]; if (be[1]) x[wa][15:8] <= d[15:8];
     if (be[2]) x[wa][23:16] <= d[23:16]; if (be[3]) x[wa][31:24] <= d[31:24]; end`,
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "bytes under an enable of all",
    "reg [31:0] x [0:1023]; integer i; always @(posedge clk) if (we) begin for (i = 0; i < 4; i = i + 1) begin if (be[i]) x[wa][8*i +: 8] <= d[8*i +: 8]; end end",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "bytes in a generate loop, one process each",
    "reg [31:0] x [0:1023]; genvar g; generate for (g = 0; g < 4; g = g + 1) begin : by always @(posedge clk) if (be[g]) x[wa][g*8 +: 8] <= d[g*8 +: 8]; end endgenerate",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "halves",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (be[0]) x[wa][15:0] <= d[15:0]; if (be[1]) x[wa][31:16] <= d[31:16]; end",
    "m_x 1024x32 1r1w lane 16",
  ],
  [
    "parts of different widths: their common part",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (be[0]) x[wa][7:0] <= d[7:0]; if (be[1]) x[wa][31:8] <= d[31:8]; end",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "a last lane that is shorter",
    "reg [21:0] x [0:1023]; always @(posedge clk) begin if (be[0]) x[wa][7:0] <= d; if (be[1]) x[wa][15:8] <= d; if (be[2]) x[wa][21:16] <= d; end",
    "m_x 1024x22 1r1w lane 8",
  ],
  [
    "parts that are always written together are no lanes",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) begin x[wa][7:0] <= e[7:0]; x[wa][31:8] <= d[31:8]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "bytes in a loop under one enable are no lanes",
    "reg [31:0] x [0:1023]; integer i; always @(posedge clk) for (i = 0; i < 4; i = i + 1) if (we) x[wa][8*i +: 8] <= d[8*i +: 8];",
    "m_x 1024x32 1r1w",
  ],
  [
    "bytes in a loop under one arm of a case are no lanes",
    "reg [31:0] x [0:1023]; integer i; always @(posedge clk) for (i = 0; i < 4; i = i + 1) case (be) 0, 1: x[wa][8*i +: 8] <= d[8*i +: 8]; default: ; endcase",
    "m_x 1024x32 1r1w",
  ],
  [
    "elements of a packed array",
    "logic [3:0][7:0] x [1024]; always_ff @(posedge clk) for (int i = 0; i < 4; i++) if (be[i]) x[wa][i] <= d[8*i +: 8];",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "fields of a structure",
    "typedef struct packed { logic [20:0] tag; logic [2:0] state; } line_t; line_t x [1024]; always_ff @(posedge clk) begin if (be[0]) x[wa].tag <= d; if (be[1]) x[wa].state <= e; end",
    "m_x 1024x24 1r1w lane 3",
  ],
  [
    "one bit at an index that moves",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa][b[4:0]] <= d[0];",
    "m_x 1024x32 1r1w lane 1",
  ],
  [
    "a byte at an index that moves by bytes",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa][b[1:0]*8 +: 8] <= d[7:0];",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "a byte at an index joined with zeros",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa][{b[1:0], 3'b000} +: 8] <= d[7:0];",
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "a byte at an index that is not known",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa][b +: 8] <= d[7:0];",
    "m_x 1024x32 1r1w lane 1",
    "lane",
  ],
  [
    "a mask of bits",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa] <= (x[wa] & ~e) | (d & e);",
    "m_x 1024x32 1r1w lane 1",
    "lane",
  ],
  [
    "bytes kept from the old word",
    "reg [31:0] x [0:1023]; always @(posedge clk) x[wa] <= {be[1] ? d[31:16] : x[wa][31:16], be[0] ? d[15:0] : x[wa][15:0]};",
    "m_x 1024x32 1r1w lane 16",
  ],
  [
    "a choice between new and old word is an enable",
    "reg [31:0] x [0:1023]; always @(posedge clk) x[wa] <= we ? d : x[wa];",
    "m_x 1024x32 1r1w",
  ],
  [
    "parts in a concatenation",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (be[0]) {x[wa][15:0]} <= d[15:0]; if (be[1]) {x[wa][31:16]} <= d[15:0]; end",
    "m_x 1024x32 1r1w lane 16",
  ],
];

describe("write lanes", () => {
  it.each(CASES)("%s", async (_, body, memory, ...codes) => {
    const { memories, questions, unread } = await scanText(around(`${body}\n${READ}`));
    expect(unread).toEqual([]);
    expect(briefs(memories)).toEqual([memory]);
    expect(questions.map(({ code }) => code)).toEqual(codes);
  });
});
