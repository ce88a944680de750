import { describe, expect, it } from "vitest";
import { HIERARCHIES, RAM, top } from "./hierarchy-cases.js";
import { briefs, scanText } from "./scan-text.js";

describe("the hierarchy", () => {
  it.each(HIERARCHIES)("%s", async (_, source, ...memories) => {
    const result = await scanText(source, { top: "top" });
    expect(result.unread).toEqual([]);
    expect(result.questions).toEqual([]);
    expect([...briefs(result.memories)].sort()).toEqual([...memories].sort());
  });

  it("goes over several files, in any order", async () => {
    const { memories } = await scanText(["module top (input clk); ram u (clk); endmodule", RAM]);
    expect(briefs(memories)).toEqual(["ram_x 1024x8 1rw"]);
    expect(memories[0]).toMatchObject({ file: "b.sv", line: 3, column: 15, path: "top.u.x", module: "ram" });
  });

  it("multiplies through levels", async () => {
    const levels = Array.from(
      { length: 12 },
      (_, i) => `module l${i + 1} (input clk); l${i} a (clk), b (clk); endmodule`,
    );
    const { memories } = await scanText(
      `${RAM}module l0 (input clk); ram u (clk); endmodule ${levels.join("\n")}`,
    );
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
    expect([...briefs(memories)].sort()).toEqual([
      "dual_x_1024x8 1024x8 1r1w x2",
      "dual_x_1024x8_2 1024x8 1r1w 2 clocks",
    ]);
  });
});

describe("questions of the hierarchy", () => {
  it.each([
    ["a module that no source has", top("ram u (clk); strange s (clk);"), "unknown-module", "strange", 1],
    ["a size that is no constant", top("reg [7:0] x [0:N-1];"), "not-constant", "N is not known", 0],
    [
      "a size of more bits than can be worked out",
      top("reg [7:0] x [0:(7**60000)**60000];"),
      "not-constant",
      "a power",
      0,
    ],
    ["a condition that is no constant", top("if (N > 2) ram u (clk);"), "not-constant", "N is not known", 0],
    [
      "a loop that never ends",
      top("for (genvar g = 0; g < 1; g = g + 0) ram u (clk);"),
      "not-constant",
      "rounds",
      1,
    ],
    ["a parameter that is set from afar", top("ram u (clk); defparam u.D = 5;"), "defparam", "defparam", 1],
    [
      "an array that another module reaches into",
      top("ram u (clk); reg [7:0] r; always @(posedge clk) r <= u.x[3];"),
      "hidden-access",
      "u.x is reached from top",
      1,
    ],
    [
      "contents that another module gives",
      top('ram u (clk); initial $readmemh("x.hex", u.x);'),
      "hidden-access",
      "u.x",
      1,
    ],
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
