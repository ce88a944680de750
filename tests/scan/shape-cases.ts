const use = (name: string) => `always @(posedge clk) begin if (we) ${name}[a] <= d; q <= ${name}[a]; end`;
/** A module `m` with a declaration and a use of its array. */
export const module = (head: string, declaration: string, name = "x", more = "") =>
  `module m ${head} (input clk, input we, input [15:0] a, input [255:0] d, output reg [255:0] q); ${declaration} ${use(name)} ${more} endmodule\n`;

/** Name, source, memories. Sources of our own. */
export const SHAPES: readonly (readonly [string, string, ...string[]])[] = [
  ["bounds that rise", module("", "reg [31:0] x [0:1023];"), "m_x 1024x32 1rw"],
  ["bounds that fall", module("", "reg [31:0] x [1023:0];"), "m_x 1024x32 1rw"],
  ["bounds that do not start at 0", module("", "reg [32:1] x [16:1039];"), "m_x 1024x32 1rw"],
  ["a count of words", module("", "logic [31:0] x [1024];"), "m_x 1024x32 1rw"],
  ["one bit", module("", "reg x [0:1023];"), "m_x 1024x1 1rw"],
  ["a signed word", module("", "reg signed [15:0] x [0:1023];"), "m_x 1024x16 1rw"],
  ["integers", module("", "int x [100];"), "m_x 100x32 1rw"],
  ["bytes", module("", "byte unsigned x [0:99];"), "m_x 100x8 1rw"],
  ["packed dimensions", module("", "logic [3:0][1:0][7:0] x [0:255];"), "m_x 256x64 1rw"],
  ["a typedef", module("", "typedef logic [22:0] word_t; word_t x [0:255];"), "m_x 256x23 1rw"],
  [
    "an array of a typedef",
    module("", "typedef logic [22:0] word_t; word_t [1:0] x [0:255];"),
    "m_x 256x46 1rw",
  ],
  ["a typedef of an array", module("", "typedef logic [22:0] ram_t [0:255]; ram_t x;"), "m_x 256x23 1rw"],
  [
    "a structure within a structure",
    module(
      "",
      "typedef struct packed { logic [3:0] k; logic v; } in_t; typedef struct packed { in_t [1:0] two; logic [9:0] w; } out_t; out_t x [0:255];",
    ),
    "m_x 256x20 1rw",
  ],
  [
    "an enumeration",
    module("", "typedef enum logic [2:0] { A, B = 5, C } s_t; s_t x [0:1023];"),
    "m_x 1024x3 1rw",
  ],
  [
    "several in one declaration",
    module(
      "",
      "reg [7:0] x [0:1023], y [0:511], z; reg [7:0] r;",
      "x",
      "always @(posedge clk) begin if (we) y[a] <= d; r <= y[a]; end",
    ),
    "m_x 1024x8 1rw",
    "m_y 512x8 1rw",
  ],
  ["parameters", module("#(parameter W = 12, D = 300)", "reg [W-1:0] x [0:D-1];"), "m_x 300x12 1rw"],
  [
    "local parameters from parameters",
    module(
      "#(parameter A = 10, parameter W = 12, localparam D = 1 << A)",
      "localparam V = W * 2; reg [V-1:0] x [0:D-1];",
    ),
    "m_x 1024x24 1rw",
  ],
  [
    "$clog2",
    module("#(parameter N = 1000)", "localparam A = $clog2(N); reg [A-1:0] x [0:(1<<A)-1];"),
    "m_x 1024x10 1rw",
  ],
  ["a power", module("", "reg [7:0] x [0:2**10-1];"), "m_x 1024x8 1rw"],
  ["a choice", module("#(parameter BIG = 1)", "reg [7:0] x [0:(BIG ? 2048 : 64)-1];"), "m_x 2048x8 1rw"],
  ["based numbers", module("", "reg [8'h0f:0] x [0:'d1_023];"), "m_x 1024x16 1rw"],
  ["$bits of a type", module("", "typedef logic [6:0] t; reg [$bits(t):0] x [0:1023];"), "m_x 1024x8 1rw"],
  [
    "a function that counts bits",
    module(
      "",
      `localparam A = bits(600); reg [A-1:0] x [0:599];
       function integer bits(input integer v); integer i; begin bits = 0; for (i = v - 1; i > 0; i = i >> 1) bits = bits + 1; end endfunction`,
    ),
    "m_x 600x10 1rw",
  ],
  [
    "a package",
    `package p; parameter W = 9; localparam int D = 700; typedef logic [W-1:0] w_t; endpackage\n${module("", "p::w_t x [p::D];")}`,
    "m_x 700x9 1rw",
  ],
  [
    "an imported package",
    `package p; parameter W = 9; localparam int D = 700; typedef logic [W-1:0] w_t; endpackage\n${module("", "import p::*; w_t x [D];")}`,
    "m_x 700x9 1rw",
  ],
  ["a type parameter", module("#(parameter type T = logic [4:0])", "T x [0:511];"), "m_x 512x5 1rw"],
  [
    "names in another order than they are used",
    module("", "localparam D = E + 24; reg [7:0] x [0:D-1]; localparam E = 1000;"),
    "m_x 1024x8 1rw",
  ],
  ["an attribute before it", module("", '(* style = "any" *) reg [7:0] x [0:1023];'), "m_x 1024x8 1rw"],
  [
    "two dimensions, both indexes moving: one deep memory",
    "module m (input clk, input we, input [1:0] w, input [7:0] a, input [7:0] d, output reg [7:0] q); reg [7:0] x [0:3][0:255]; always @(posedge clk) begin if (we) x[w][a] <= d; q <= x[w][a]; end endmodule",
    "m_x 1024x8 1rw",
  ],
  [
    "two dimensions, the first index fixed: banks",
    `module m (input clk, input [3:0] we, input [7:0] a, input [31:0] d, output reg [31:0] q); reg [7:0] x [0:3][0:255]; integer i;
     always @(posedge clk) for (i = 0; i < 4; i = i + 1) begin if (we[i]) x[i][a] <= d[8*i +: 8]; q[8*i +: 8] <= x[i][a]; end endmodule`,
    "m_x 256x8 1rw x4",
  ],
  [
    "a table of constants",
    "module m (input clk, input [9:0] a, output reg [7:0] q); localparam [7:0] X [0:1023] = '{default: 3}; always @(posedge clk) q <= X[a]; endmodule",
    "m_X 1024x8 1r initial",
  ],
];
