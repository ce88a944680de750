import { describe, expect, it } from "vitest";
import { around, briefs, scanText } from "./scan-text.js";

/** Name, output kind, body, memory, and the codes of the questions. Sources of our own. */
const CASES: readonly (readonly [string, "reg" | "wire", string, string, ...string[]])[] = [
  [
    "a clocked read and a write at their own addresses",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; q <= x[ra]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "one address for both: a read-write port",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end",
    "m_x 1024x32 1rw",
  ],
  [
    "the form that shows the written word",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) begin x[a] <= d; q <= d; end else q <= x[a];",
    "m_x 1024x32 1rw",
  ],
  [
    "the form that shows nothing while it writes",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[a] <= d; else q <= x[a];",
    "m_x 1024x32 1rw",
  ],
  [
    "a registered address",
    "wire",
    "reg [31:0] x [0:1023]; reg [9:0] r; assign q = x[r]; always @(posedge clk) begin r <= ra; if (we) x[wa] <= d; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "a registered address that is also the write address before its register",
    "wire",
    "reg [31:0] x [0:1023]; reg [9:0] r; assign q = x[r]; always @(posedge clk) begin if (en) r <= a; if (we) x[a] <= d; end",
    "m_x 1024x32 1rw",
  ],
  [
    "a registered address by way of wires, as generators write it",
    "wire",
    `reg [31:0] x [0:1023]; wire [9:0] x_rd_addr; wire [31:0] x_rd_data; reg [9:0] x_rd_addr_pipe;
     wire [9:0] x_wr_addr; wire x_wr_en; wire [31:0] x_wr_data;
     assign x_rd_addr = x_rd_addr_pipe; assign x_rd_data = x[x_rd_addr]; assign x_wr_addr = wa; assign x_wr_en = we;
     assign x_wr_data = d; assign q = x_rd_data;
     always @(posedge clk) begin if (x_wr_en) x[x_wr_addr] <= x_wr_data; if (en) x_rd_addr_pipe <= ra; end`,
    "m_x 1024x32 1r1w",
  ],
  [
    "an asynchronous read by assign",
    "wire",
    "reg [31:0] x [0:1023]; assign q = x[ra]; always @(posedge clk) if (we) x[wa] <= d;",
    "m_x 1024x32 1r1w async",
  ],
  [
    "an asynchronous read in a combinational process",
    "reg",
    "reg [31:0] x [0:1023]; always @* begin q = 0; if (en) q = x[ra]; end always @(posedge clk) if (we) x[wa] <= d;",
    "m_x 1024x32 1r1w async",
  ],
  [
    "a wire that only fills a register is a clocked read",
    "reg",
    "reg [31:0] x [0:1023]; wire [31:0] w = x[ra]; always @(posedge clk) begin if (we) x[wa] <= d; if (en) q <= w; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "a wire that fills a register and is looked at is not",
    "reg",
    "reg [31:0] x [0:1023]; wire [31:0] w = x[ra]; always @(posedge clk) begin if (we) x[wa] <= d; q <= w; if (w[0]) p <= d; end",
    "m_x 1024x32 1r1w async",
  ],
  [
    "logic between the word and its register",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; q <= x[ra] + 1; end",
    "m_x 1024x32 1r1w async",
  ],
  [
    "a variable in passing",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin : v reg [31:0] t; t = x[ra]; q <= t; if (we) x[wa] <= d; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "a variable in passing that goes through logic",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin : v reg [31:0] t; t = x[ra]; q <= t + 1; if (we) x[wa] <= d; end",
    "m_x 1024x32 1r1w async",
    "read-style",
  ],
  [
    "a register that takes other words too",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; if (en) q <= x[ra]; else q <= e; end",
    "m_x 1024x32 1r1w async",
    "read-style",
  ],
  [
    "a synchronous reset of the register",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; if (rst) q <= 0; else if (en) q <= x[ra]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "an asynchronous reset of the register",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa] <= d; always @(posedge clk or posedge rst) if (rst) q <= 0; else q <= x[ra];",
    "m_x 1024x32 1r1w",
    "read-style",
  ],
  [
    "an address that counts on from itself",
    "wire",
    "reg [31:0] x [0:1023]; reg [9:0] r; assign q = x[r]; always @(posedge clk) begin if (en) r <= r + 1; if (we) x[wa] <= d; end",
    "m_x 1024x32 1r1w async",
    "read-style",
  ],
  [
    "two asynchronous reads and a write: a register file",
    "wire",
    "reg [31:0] x [1023:0]; assign q = ra == 0 ? 0 : x[ra]; assign p = b == 0 ? 0 : x[b]; always @(posedge clk) if (we && wa != 0) x[wa] <= d;",
    "m_x 1024x32 2r1w async",
  ],
  [
    "a read that a choice gives one of two addresses",
    "wire",
    "reg [31:0] x [0:1023]; assign q = en ? x[ra] : x[b]; always @(posedge clk) if (we) x[wa] <= d;",
    "m_x 1024x32 1r1w async",
  ],
  [
    "writes that exclude each other",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; else if (we2) x[b] <= e; q <= x[ra]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "writes that do not",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; if (we2) x[b] <= e; q <= x[ra]; end",
    "m_x 1024x32 1r2w",
  ],
  [
    "writes under a condition and its opposite, in two processes",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (en && we) x[wa] <= d; always @(posedge clk) if (!en && we2) x[b] <= e; always @(posedge clk) q <= x[ra];",
    "m_x 1024x32 1r1w",
  ],
  [
    "writes in the arms of a case",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin case (be) 4'd0: x[wa] <= d; 4'd1, 4'd2: x[b] <= e; default: x[ra] <= 0; endcase q <= x[a]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "writes under two values of one signal",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (be == 3) x[wa] <= d; if (be == 4'h5) x[b] <= e; q <= x[a]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "two read-write ports",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end always @(posedge clk2) begin if (we2) x[b] <= e; p <= x[b]; end",
    "m_x 1024x32 2rw 2 clocks",
  ],
  [
    "write on one clock, read on the other",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa] <= d; always @(posedge clk2) q <= x[ra];",
    "m_x 1024x32 1r1w 2 clocks",
  ],
  [
    "both edges of a clock count as two clocks",
    "reg",
    "reg [31:0] x [0:1023]; always @(negedge clk) if (we) x[wa] <= d; always @(posedge clk) q <= x[ra];",
    "m_x 1024x32 1r1w 2 clocks",
  ],
  [
    "a clock of another name",
    "reg",
    "wire c; assign c = clk; reg [31:0] x [0:1023]; always @(posedge c) if (we) x[wa] <= d; always @(posedge clk) q <= x[ra];",
    "m_x 1024x32 1r1w",
  ],
  [
    "two registers from one address, always together",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; q <= x[ra]; p <= x[ra]; end",
    "m_x 1024x32 1r1w",
  ],
  [
    "two registers from one address, each when it likes",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; if (en) q <= x[ra]; if (we2) p <= x[ra]; end",
    "m_x 1024x32 2r1w",
    "ports",
  ],
  [
    "contents from a file: a ROM",
    "reg",
    'reg [31:0] x [0:1023]; initial $readmemh("boot.hex", x); always @(posedge clk) q <= x[ra];',
    "m_x 1024x32 1r initial",
  ],
  [
    "contents from a loop",
    "reg",
    "reg [31:0] x [0:1023]; integer i; initial for (i = 0; i < 1024; i = i + 1) x[i] = i; always @(posedge clk) begin q <= x[ra]; if (we) x[wa] <= d; end",
    "m_x 1024x32 1r1w initial",
  ],
  [
    "nothing writes it",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) q <= x[ra];",
    "m_x 1024x32 1r",
    "unused",
  ],
  [
    "nothing reads it",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) if (we) x[wa] <= d;",
    "m_x 1024x32 1r1w",
    "unused",
  ],
  [
    "a counter in place reads without a clock",
    "reg",
    "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[a] <= x[a] + 1; q <= x[ra]; end",
    "m_x 1024x32 1r1rw async",
    "read-style",
  ],
  [
    "a reset of every word",
    "reg",
    "reg [31:0] x [0:1023]; integer i; always @(posedge clk) begin if (rst) for (i = 0; i < 1024; i = i + 1) x[i] <= 0; else if (we) x[wa] <= d; q <= x[ra]; end",
    "m_x 1024x32 1r1w in registers",
    "many-words",
  ],
  [
    "a decoder written out: one word at a time",
    "reg",
    "reg [31:0] x [0:63]; integer i; always @(posedge clk) begin for (i = 0; i < 64; i = i + 1) if (we && wa == i) x[i] <= d; q <= x[ra[5:0]]; end",
    "m_x 64x32 1r1w",
  ],
  [
    "a search through all words",
    "reg",
    "reg [31:0] x [0:63]; integer i; always @* begin q = 0; for (i = 0; i < 64; i = i + 1) if (x[i] == e) q = i; end always @(posedge clk) if (we) x[wa[5:0]] <= d;",
    "m_x 64x32 1r1w async in registers",
    "many-words",
  ],
  [
    "used as a whole",
    "reg",
    "reg [31:0] x [0:63], y [0:63]; always @(posedge clk) begin if (rst) x <= y; if (we) x[wa] <= d; q <= x[ra]; y[b] <= e; p <= y[a]; end",
    "m_x 64x32 1r1w in registers",
    "many-words",
    "many-words",
  ],
  [
    "a write in a task",
    "reg",
    "reg [31:0] x [0:1023]; task put; input [9:0] t; x[t] = d; endtask always @(posedge clk) begin if (we) put(wa); q <= x[ra]; end",
    "m_x 1024x32 1r1w",
    "hidden-access",
  ],
  [
    "a read in a function",
    "wire",
    "reg [31:0] x [0:1023]; function [31:0] get; input [9:0] t; get = x[t]; endfunction assign q = get(ra); always @(posedge clk) if (we) x[wa] <= d;",
    "m_x 1024x32 1r1w async",
    "hidden-access",
  ],
  [
    "a latch",
    "reg",
    "reg [31:0] x [0:1023]; always_latch if (clk) x[wa] = d; always @(posedge clk) q <= x[ra];",
    "m_x 1024x32 1r1w",
    "clock",
  ],
  [
    "byte memories side by side fill one register",
    "reg",
    `reg [15:0] x [0:1023], y [0:1023]; always @(posedge clk) begin q <= {y[a], x[a]}; if (we) x[a] <= d[15:0]; if (we2) y[a] <= d[31:16]; end`,
    "m_x 1024x16 1rw",
  ],
  [
    "banks that share a register through a choice",
    "reg",
    `reg [31:0] x [0:1][0:511]; always @(posedge clk) begin q <= en ? x[1][a] : x[0][a]; if (we) x[0][wa] <= d; if (we2) x[1][wa] <= d; end`,
    "m_x 512x32 1r1w async x2",
    "read-style",
    "read-style",
  ],
  [
    "a register that is an element of an array",
    "wire",
    `reg [31:0] x [0:1023]; reg [31:0] r [0:1]; assign q = r[1] + r[0]; always @(posedge clk) begin if (we) x[wa] <= d; if (en) r[1] <= x[ra]; r[0] <= e; end`,
    "m_x 1024x32 1r1w",
  ],
  [
    "four words at a time through one address",
    "reg",
    `reg [7:0] x [0:4095]; always @(posedge clk) begin q <= {x[{ra, 2'd3}], x[{ra, 2'd2}], x[{ra, 2'd1}], x[{ra, 2'd0}]};
     if (we) x[{wa, be[1:0]}] <= d[7:0]; end`,
    "m_x 4096x8 1r1w reads 32",
  ],
  [
    "four words at a time on both sides: one wide memory",
    "reg",
    `reg [7:0] x [0:4095]; integer i; always @(posedge clk) for (i = 0; i < 4; i = i + 1) begin
     q[8*i +: 8] <= x[ra * 4 + i]; if (we) x[wa * 4 + i] <= d[8*i +: 8]; end`,
    "m_x 1024x32 1r1w",
  ],
  [
    "four words at a time, each with its enable",
    "reg",
    `reg [7:0] x [0:4095]; integer i; always @(posedge clk) for (i = 0; i < 4; i = i + 1) begin
     q[8*i +: 8] <= x[ra * 4 + i]; if (be[i]) x[wa * 4 + i] <= d[8*i +: 8]; end`,
    "m_x 1024x32 1r1w lane 8",
  ],
  [
    "four words written at a time, each with its enable, and one read",
    "reg",
    `reg [7:0] x [0:4095]; integer i; always @(posedge clk) begin q <= x[{ra, be[1:0]}];
     for (i = 0; i < 4; i = i + 1) if (be[i]) x[wa * 4 + i] <= d[8*i +: 8]; end`,
    "m_x 4096x8 1r4w",
    "ports",
  ],
];

describe("ports and read style", () => {
  it.each(CASES)("%s", async (_, out, body, memory, ...codes) => {
    const { memories, questions, unread } = await scanText(around(body, out as "reg" | "wire"));
    expect(unread).toEqual([]);
    expect(briefs(memories)[0]).toBe(memory);
    expect(questions.map(({ code }) => code)).toEqual(codes);
  });
});

describe("what a process does not say", () => {
  it.each([
    [
      "a loop without constant bounds",
      "for (i = 0; i < e; i = i + 1) if (be[i]) x[wa] <= d;",
      "not-constant",
      "bound of this loop",
    ],
    ["a loop that repeats", "repeat (e) x[wa] <= d;", "not-constant", "how often"],
  ])("%s is asked about", async (_, body, code, words) => {
    const { memories, questions } = await scanText(
      around(`reg [31:0] x [0:1023]; integer i; always @(posedge clk) begin ${body} q <= x[ra]; end`),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 1r1w"]);
    expect(questions.map((question) => question.code)).toEqual([code]);
    expect(questions[0]!.text).toContain(words);
  });

  it("which of two edges is the clock is asked, where no reset tells", async () => {
    const { questions } = await scanText(
      around(
        "reg [31:0] x [0:1023]; always @(posedge clk or posedge clk2) begin x[wa] <= d; end always @(posedge clk) q <= x[ra];",
      ),
    );
    expect(questions.map(({ code }) => code)).toEqual(["clock"]);
  });

  it("more than two clocks are asked about, and two are taken", async () => {
    const { memories, questions } = await scanText(
      around(
        "reg [31:0] x [0:1023]; always @(posedge clk) x[wa] <= d; always @(posedge clk2) q <= x[ra]; always @(posedge en) p <= x[b];",
      ),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 2r1w 2 clocks"]);
    expect(questions.map(({ code }) => code)).toEqual(["many-clocks"]);
  });
});
