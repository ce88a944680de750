import { expect, it } from "vitest";
import { designText, readDesign } from "../../src/index.js";
import { scanText } from "./scan-text.js";

const MODULE = (name: string, array: string, depth: number) =>
  `module ${name} (input clk, input we, input [31:0] a, input [7:0] d, output reg [7:0] q); reg [7:0] ${array} [0:${depth - 1}];
   always @(posedge clk) begin if (we) ${array}[a] <= d; q <= ${array}[a]; end endmodule\n`;

it("names that are long, escaped or alike make names of their own that a design file may have", async () => {
  const long =
    "a_very_long_name_of_a_module_that_goes_on_for_more_than_sixty_four_characters_as_generators_like";
  const text = `${MODULE(`${long}_1`, "x", 1024)}${MODULE(`${long}_2`, "x", 1024)}${MODULE("\\odd-name!$ ", "x", 1024)}
    ${MODULE("p_x", "y", 1024)}${MODULE("p", "x_y", 1024)}
    module top (input clk); ${long}_1 a (); ${long}_2 b (); \\odd-name!$ c (); p_x d (); p e (); endmodule`;
  const result = await scanText(text, { top: "top" });
  expect(result.memories).toHaveLength(5);
  const names = result.memories.map(({ name }) => name);
  expect(new Set(names).size).toBe(5);
  expect(names).toContain("odd_name__x");
  expect(names).toContain("p_x_y_1024x8");
  expect(readDesign({ file: "x.yaml", text: designText(result) }).ok).toBe(true);
});

it("what no design file may state is left out and asked about", async () => {
  const result = await scanText(`${MODULE("huge", "x", 2 ** 31)}`);
  expect(result.memories).toEqual([]);
  expect(result.unsized).toHaveLength(1);
  expect(result.questions[0]!.text).toContain("more than a design file may state");
  expect(designText(result)).toContain("QUESTION 1");
});
