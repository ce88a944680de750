import { describe, expect, it } from "vitest";
import { briefs, scanText } from "./scan-text.js";
import { module, SHAPES } from "./shape-cases.js";

describe("depth and width", () => {
  it.each(SHAPES)("%s", async (_, source, ...memories) => {
    const result = await scanText(source);
    expect(result.unread).toEqual([]);
    expect(briefs(result.memories)).toEqual(memories);
    expect(result.questions).toEqual([]);
  });
});

describe("what is no memory", () => {
  it.each([
    ["few bits", module("", "reg [31:0] x [0:15];"), "m_x 16x32 1rw"],
    [
      "every index a constant: a pipeline",
      "module m (input clk, input [299:0] d, output [299:0] q); reg [299:0] x [0:3]; always @(posedge clk) begin x[0] <= d; x[1] <= x[0]; x[2] <= x[1]; x[3] <= x[2]; end assign q = x[3]; endmodule",
      null,
    ],
  ])("%s: registers", async (_, source, brief) => {
    const { memories, registers } = await scanText(source);
    expect(memories).toEqual([]);
    expect(registers).toHaveLength(1);
    if (brief !== null) expect(briefs(registers)).toEqual([brief]);
    else expect(registers[0]!.remarks[0]).toContain("every index is a constant");
  });

  it("is as small as the option says", async () => {
    const source = module("", "reg [31:0] x [0:15];");
    expect((await scanText(source, { registersBelow: 511 })).memories).toHaveLength(1);
    expect((await scanText(source, { registersBelow: 512 })).memories).toHaveLength(0);
  });

  it.each([
    ["nets", "wire [7:0] x [0:1023]; assign x[3] = d; assign q = x[a];"],
    [
      "variables that no clock writes",
      "logic [7:0] x [0:1023]; always_comb begin x[a] = d; end assign q = x[3];",
    ],
    ["unused", "reg [7:0] x [0:1023]; assign q = d;"],
  ])("%s: nothing is held", async (_, body) => {
    const { memories, registers, wires } = await scanText(
      `module m (input clk, input [9:0] a, input [7:0] d, output [7:0] q); ${body} endmodule`,
    );
    expect([memories, registers]).toEqual([[], []]);
    expect(wires.map(({ array }) => array)).toEqual(["x"]);
  });

  it("a queue, an associative array and a vector with an index", async () => {
    const body =
      "int x [$]; int y [string]; int z []; reg [1023:0] v; always @(posedge clk) begin v[a] <= d[0]; x.push_back(3); end assign q = v[a];";
    const { memories, registers, wires } = await scanText(
      `module m (input clk, input [9:0] a, input [7:0] d, output q); ${body} endmodule`,
    );
    expect([memories, registers, wires]).toEqual([[], [], []]);
  });
});
