import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { scan } from "../../src/index.js";
import { briefs, scanText } from "./scan-text.js";

const GOOD = `module good (input clk, input we, input [9:0] a, input [7:0] d, output reg [7:0] q);
  reg [7:0] x [0:1023];
  always @(posedge clk) begin if (we) x[a] <= d; q <= x[a]; end
endmodule
`;

describe("sources that are not right", () => {
  it.each([
    [
      "a statement that is cut off",
      `${GOOD}module bad (input c);\n  always @(posedge c) begin x <= ;\n  end\nendmodule\n`,
      6,
    ],
    ["a bracket that is not closed", `${GOOD}module bad (input c);\n  wire [7:0 x;\nendmodule\n`, 6],
    ["a word too many", `${GOOD}module bad (input c);\n  wire wire wire x;\nendmodule\n`, 6],
    ["other text", `${GOOD}This is no hardware at all.\n`, 5],
    ["an interface", `${GOOD}interface i;\n  logic [7:0] m [0:255];\nendinterface\n`, 5],
    ["a class", `${GOOD}class c;\n  int q [4];\nendclass\n`, 5],
    ["a bind directive", `${GOOD}bind good other o ();\n`, 5],
  ])("%s: the place is told and the rest is read", async (_, text, line) => {
    const { memories, unread } = await scanText(text, { top: "good" });
    expect(briefs(memories)).toEqual(["good_x 1024x8 1rw"]);
    expect(unread.length).toBeGreaterThan(0);
    expect(unread[0]).toMatchObject({ file: "a.sv", line });
    expect(unread[0]!.message).toMatch(/not read|went on without|not looked for/);
  });

  it("a memory in a part that is read is found beside one that is not", async () => {
    const text = GOOD.replace("endmodule", "  assign = = 3;\nendmodule");
    const { memories, unread } = await scanText(text);
    expect(briefs(memories)).toEqual(["good_x 1024x8 1rw"]);
    expect(unread[0]).toMatchObject({ line: 4 });
  });

  it("the place is that of the file that was included", async () => {
    const outcome = await scan([{ file: "a.v", text: `\`include "b.vh"\n${GOOD}` }], {
      include: () => ({ file: "b.vh", text: "\n\nmodule bad (;\nendmodule\n" }),
      top: "good",
    });
    if (outcome.status !== "done") throw new Error(outcome.status);
    expect(outcome.result.unread[0]).toMatchObject({ file: "b.vh", line: 3 });
    expect(outcome.notes[0]!.source.file).toBe("b.vh");
  });

  it("two modules of one name: the first counts, and it is told", async () => {
    const { memories, unread } = await scanText(GOOD + GOOD.replace("[0:1023]", "[0:511]"));
    expect(briefs(memories)).toEqual(["good_x 1024x8 1rw"]);
    expect(unread).toEqual([
      { file: "a.sv", line: 5, column: 1, message: "a second module good; the first one counts" },
    ]);
  });

  it("any text leads to a result or says that there is no top", async () => {
    const words = [
      "module m;",
      "endmodule",
      "reg [7:0] x [0:9];",
      "always @(posedge c)",
      "x[a] <= d;",
      "begin",
      "end",
      "if (",
      ")",
      "`define A `B",
      "`A",
      "`ifdef",
      "`endif",
      "generate",
      "for (",
      "[",
      "]",
      "(",
      "{",
      "'",
      '"',
      "/*",
      "//",
      "\n",
      "#(",
      "assign",
      "case",
      "5",
      "function f;",
      "\\e ",
    ];
    await fc.assert(
      fc.asyncProperty(fc.array(fc.constantFrom(...words), { maxLength: 40 }), async (list) => {
        const outcome = await scan([{ file: "a.sv", text: list.join(" ") }]);
        expect(["done", "no-top"]).toContain(outcome.status);
      }),
      { numRuns: 300, seed: 6 },
    );
  });

  it("any cut of a good source leads to a result or says that there is no top", async () => {
    const text = GOOD + GOOD.replace("good", "other").replace("x[a] <= d", "x[a][3 +: 2] <= {d, x[0]}");
    for (let end = 0; end < text.length; end += 7) {
      const outcome = await scan([{ file: "a.sv", text: text.slice(0, end) }]);
      expect(["done", "no-top"]).toContain(outcome.status);
    }
  });
});
