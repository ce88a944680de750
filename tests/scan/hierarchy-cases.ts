/** A memory whose size is up to its parameters. */
export const RAM = `module ram #(parameter W = 8, parameter D = 1024) (input clk);
  reg we; reg [15:0] a; reg [W-1:0] d, q;
  reg [W-1:0] x [0:D-1];
  always @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end
endmodule
`;
/** The memory and a top with a body. */
export const top = (body: string, head = "") => `${RAM}module top ${head} (input clk); ${body} endmodule\n`;

/** Name, source, memories of `top`. Sources of our own. */
export const HIERARCHIES: readonly (readonly [string, string, ...string[]])[] = [
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
  [
    "a generate loop",
    top("genvar g; generate for (g = 0; g < 5; g = g + 1) begin : l ram u (clk); end endgenerate"),
    "ram_x 1024x8 1rw x5",
  ],
  [
    "a generate loop without keyword or label",
    top("for (genvar g = 0; g < 5; g++) ram u (clk);"),
    "ram_x 1024x8 1rw x5",
  ],
  [
    "loops within loops",
    top(
      "genvar g, h; generate for (g = 0; g < 4; g = g + 1) begin : l for (h = 0; h <= g; h = h + 1) begin : m ram u [1:0] (clk); end end endgenerate",
    ),
    "ram_x 1024x8 1rw x20",
  ],
  [
    "a size from a loop's variable",
    top(
      "genvar g; generate for (g = 0; g < 3; g = g + 1) begin : l ram #(.D(1024 << g)) u (clk); end endgenerate",
    ),
    "ram_x_1024x8 1024x8 1rw",
    "ram_x_2048x8 2048x8 1rw",
    "ram_x_4096x8 4096x8 1rw",
  ],
  [
    "a condition that holds",
    top(
      "generate if (P > 2) begin : y ram u (clk); end else begin : n ram #(4) u (clk); end endgenerate",
      "#(parameter P = 3)",
    ),
    "ram_x 1024x8 1rw",
  ],
  [
    "a condition that does not",
    top(
      "if (P > 2) ram u (clk); else if (P == 1) ram #(4) u (clk); else ram #(2) u (clk);",
      "#(parameter P = 1)",
    ),
    "ram_x 1024x4 1rw",
  ],
  [
    "a case",
    top(
      "generate case (P) 1, 2: ram #(2) u (clk); 3: begin : t ram #(3) u (clk); end default: ram #(9) u (clk); endcase endgenerate",
      "#(parameter P = 3)",
    ),
    "ram_x 1024x3 1rw",
  ],
  [
    "a case without a label that fits",
    top("case (P) 1: ram #(2) u (clk); default: ram #(9) u (clk); endcase", "#(parameter P = 3)"),
    "ram_x 1024x9 1rw",
  ],
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
  [
    "what is under another top is left out",
    `${RAM}module other (input clk); ram u (clk); endmodule module top (input clk); ram #(.D(2048)) u (clk); endmodule`,
    "ram_x 2048x8 1rw",
  ],
  [
    "a type that an instance gives",
    `module ram #(parameter type T = logic) (input clk); reg we; reg [9:0] a; T d, q; T x [1024];
     always_ff @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end endmodule
     module top (input clk); typedef struct packed { logic [4:0] k; logic v; } e_t; ram #(.T(e_t)) u (.*); ram #(.T(logic [3:0])) v (.*); ram #(.T(e_t)) w (.*); endmodule`,
    "ram_x_1024x6 1024x6 1rw x2",
    "ram_x_1024x4 1024x4 1rw",
  ],
];
