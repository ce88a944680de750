import { describe, expect, it } from "vitest";
import { briefs, scanText } from "./scan-text.js";

const RAM = `module ram #(parameter W = 8, parameter D = 1024) (input clk, input we, input [15:0] a, input [W-1:0] d, output reg [W-1:0] q);
  reg [W-1:0] x [0:D-1];
  always @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end
endmodule
`;
const top = (body: string, head = "") => `${RAM}module top ${head} (input clk); ${body} endmodule\n`;

/** Name, source, memories of `top`. Sources of our own. */
const CASES: readonly (readonly [string, string, ...string[]])[] = [
  ["one instance", top("ram u (clk);"), "ram_x 1024x8 1rw"],
  ["several in one statement", top("ram u (clk), v (clk);"), "ram_x 1024x8 1rw x2"],
  ["a row of instances", top("ram u [3:0] (clk);"), "ram_x 1024x8 1rw x4"],
  ["parameters by name", top("ram #(.D(2048), .W(16)) u (clk);"), "ram_x 2048x16 1rw"],
  ["parameters by place", top("ram #(16, 2048) u (clk);"), "ram_x 2048x16 1rw"],
  [
    "parameters from above, two deep",
    `${RAM}module mid #(parameter K = 1) (input clk); ram #(.D(1024 * K)) u (clk); endmodule
     module top (input clk); mid #(.K(2)) m (clk); mid n (clk); mid #(2) o (clk); endmodule`,
    "ram_x_1024x8 1024x8 1rw",
    "ram_x_2048x8 2048x8 1rw x2",
  ],
  ["a generate loop", top("genvar g; generate for (g = 0; g < 5; g = g + 1) begin : l ram u (clk); end endgenerate"), "ram_x 1024x8 1rw x5"],
  ["a generate loop without keyword or label", top("for (genvar g = 0; g < 5; g++) ram u (clk);"), "ram_x 1024x8 1rw x5"],
  [
    "loops within loops",
    top("genvar g, h; generate for (g = 0; g < 4; g = g + 1) begin : l for (h = 0; h <= g; h = h + 1) begin : m ram u [1:0] (clk); end end endgenerate"),
    "ram_x 1024x8 1rw x20",
  ],
  [
    "a size from a loop's variable",
    top("genvar g; generate for (g = 0; g < 3; g = g + 1) begin : l ram #(.D(1024 << g)) u (clk); end endgenerate"),
    "ram_x_1024x8 1024x8 1rw",
    "ram_x_2048x8 2048x8 1rw",
    "ram_x_4096x8 4096x8 1rw",
  ],
  ["a condition that holds", top("generate if (P > 2) begin : y ram u (clk); end else begin : n ram #(4) u (clk); end endgenerate", "#(parameter P = 3)"), "ram_x 1024x8 1rw"],
  ["a condition that does not", top("if (P > 2) ram u (clk); else if (P == 1) ram #(4) u (clk); else ram #(2) u (clk);", "#(parameter P = 1)"), "ram_x 1024x4 1rw"],
  [
    "a case",
    top("generate case (P) 1, 2: ram #(2) u (clk); 3: begin : t ram #(3) u (clk); end default: ram #(9) u (clk); endcase endgenerate", "#(parameter P = 3)"),
    "ram_x 1024x3 1rw",
  ],
  ["a case without a label that fits", top('case (P) 1: ram #(2) u (clk); default: ram #(9) u (clk); endcase', "#(parameter P = 3)"), "ram_x 1024x9 1rw"],
  [
    "arrays in a generate loop",
    `module top (input clk, input [3:0] we, input [9:0] a, input [31:0] d, output [31:0] q); genvar g;
     generate for (g = 0; g < 4; g = g + 1) begin : bank reg [7:0] x [0:1023]; reg [7:0] r; assign q[8*g +: 8] = r;
     always @(posedge clk) begin if (we[g]) x[a] <= d[8*g +: 8]; r <= x[a]; end end endgenerate endmodule`,
    "top_bank_x 1024x8 1rw x4",
  ],
  [
    "an array of a generate block used from outside of it",
    `module top (input clk, input we, input [9:0] a, input [7:0] d, output reg [7:0] q); genvar g;
     generate for (g = 0; g < 2; g = g + 1) begin : bank reg [7:0] x [0:1023]; end endgenerate
     always @(posedge clk) begin if (we) bank[1].x[a] <= d; q <= bank[1].x[a]; if (we) bank[0].x[a] <= d; end
     reg [7:0] r; always @(posedge clk) r <= bank[0].x[a]; endmodule`,
    "top_bank_x 1024x8 1rw x2",
  ],
  ["what is under another top is left out", `${RAM}module other (input clk); ram u (clk); endmodule module top (input clk); ram #(.D(2048)) u (clk); endmodule`, "ram_x 2048x8 1rw"],
  [
    "a type that an instance gives",
    `module ram #(parameter type T = logic) (input clk, input we, input [9:0] a, input T d, output T q); T x [1024];
     always_ff @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end endmodule
     module top (input clk); typedef struct packed { logic [4:0] k; logic v; } e_t; ram #(.T(e_t)) u (.*); ram #(.T(logic [3:0])) v (.*); ram #(.T(e_t)) w (.*); endmodule`,
    "ram_x_1024x6 1024x6 1rw x2",
    "ram_x_1024x4 1024x4 1rw",
  ],
];

describe("the hierarchy", () => {
  it.each(CASES)("%s", async (_, source, ...memories) => {
    const result = await scanText(source, { top: "top" });
    expect(result.unread).toEqual([]);
    expect(result.questions).toEqual([]);
    expect([...briefs(result.memories)].sort()).toEqual([...memories].sort());
  });

  it("goes over several files, in any order", async () => {
    const { memories } = await scanText(["module top (input clk); ram u (clk); endmodule", RAM]);
    expect(briefs(memories)).toEqual(["ram_x 1024x8 1rw"]);
    expect(memories[0]).toMatchObject({ file: "b.sv", line: 2, column: 15, path: "top.u.x", module: "ram" });
  });

  it("multiplies through levels", async () => {
    const levels = Array.from(
      { length: 12 },
      (_, i) => `module l${i + 1} (input clk); l${i} a (clk), b (clk); endmodule`,
    );
    const { memories } = await scanText(`${RAM}module l0 (input clk); ram u (clk); endmodule ${levels.join("\n")}`);
    expect(briefs(memories)).toEqual(["ram_x 1024x8 1rw x4096"]);
  });
});

describe("clocks of a module's ports", () => {
  const DUAL = `module dual (input wc, input rc, input we, input [9:0] a, b, input [7:0] d, output reg [7:0] q);
    reg [7:0] x [0:1023]; always @(posedge wc) if (we) x[a] <= d; always @(posedge rc) q <= x[b]; endmodule\n`;

  it.each([
    ["one net", "dual u (.wc(clk), .rc(clk));", "dual_x 1024x8 1r1w"],
    ["one net by place", "dual u (clk, clk);", "dual_x 1024x8 1r1w"],
    ["one net under two names", "wire c = clk; dual u (.wc(clk), .rc(c));", "dual_x 1024x8 1r1w"],
    ["two nets", "dual u (.wc(clk), .rc(clk2));", "dual_x 1024x8 1r1w 2 clocks"],
    ["one net and its inverse", "dual u (.wc(clk), .rc(~clk));", "dual_x 1024x8 1r1w 2 clocks"],
    ["nothing known", "dual u ();", "dual_x 1024x8 1r1w 2 clocks"],
  ])("%s", async (_, body, memory) => {
    const { memories } = await scanText(`${DUAL}module top (input clk, input clk2); ${body} endmodule`);
    expect(briefs(memories)).toEqual([memory]);
  });

  it("are followed through a level between, and told apart where they differ", async () => {
    const source = `${DUAL}module mid (input a, input b); dual u (.wc(a), .rc(b)); endmodule
      module top (input clk, input clk2); mid m (clk, clk), n (clk, clk2), o (clk2, clk2); endmodule`;
    const { memories } = await scanText(source);
    expect([...briefs(memories)].sort()).toEqual(["dual_x_1024x8 1024x8 1r1w x2", "dual_x_1024x8_2 1024x8 1r1w 2 clocks"]);
  });
});

describe("questions of the hierarchy", () => {
  it.each([
    ["a module that no source has", top("ram u (clk); strange s (clk);"), "unknown-module", "strange", 1],
    ["a size that is no constant", top("reg [7:0] x [0:N-1];"), "not-constant", "N is not known", 0],
    ["a condition that is no constant", top("if (N > 2) ram u (clk);"), "not-constant", "N is not known", 0],
    ["a loop that never ends", top("for (genvar g = 0; g < 1; g = g + 0) ram u (clk);"), "not-constant", "rounds", 1],
    ["a parameter that is set from afar", top("ram u (clk); defparam u.D = 5;"), "defparam", "defparam", 1],
    ["a module within itself", top("ram u (clk); top t (clk);"), "not-constant", "itself", 1],
    [
      "a module within itself by way of another, each time larger",
      `${RAM}module a #(parameter D = 1) (input clk); ram u (clk); a #(D + 1) n (clk); endmodule module top (input clk); a t (clk); endmodule`,
      "not-constant",
      "levels deep",
      1,
    ],
  ])("%s", async (_, source, code, words, memories) => {
    const result = await scanText(source, { top: "top" });
    expect(result.questions.map((question) => question.code)).toEqual([code]);
    expect(result.questions[0]!.text).toContain(words);
    expect(result.questions[0]).toMatchObject({ file: "a.sv", number: 1 });
    expect(result.memories).toHaveLength(memories);
  });
});
