import { describe, expect, it } from "vitest";
import { around, briefs, scanText } from "./scan-text.js";

const RAM = "reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; q <= x[ra]; end";
const times = (count: number, part: (i: number) => string) =>
  Array.from({ length: count }, (_, i) => part(i)).join("");

describe("sources that are large in one direction", () => {
  it("a choice of 300 levels as the address", async () => {
    const address = `${times(300, (i) => `e == ${i} ? a[${i % 10}] : `)}b`;
    const { memories } = await scanText(
      around(
        `reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[${address}] <= d; q <= x[ra]; end`,
      ),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 1r1w"]);
  });

  it("a chain of 800 else-ifs that write at addresses of their own", async () => {
    const chain = times(800, (i) => `if (d == ${i}) x[wa + ${i}] <= e; else `);
    const { memories } = await scanText(
      around(`reg [31:0] x [0:1023]; always @(posedge clk) begin ${chain} x[b] <= 0; q <= x[ra]; end`),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 1r1w"]);
  });

  it("a case of 800 arms", async () => {
    const arms = times(800, (i) => `${i}: q <= x[ra + ${i}];`);
    const { memories } = await scanText(
      around(
        `reg [31:0] x [0:4095]; always @(posedge clk) begin case (e) ${arms} default: q <= 0; endcase if (we) x[wa] <= d; end`,
      ),
    );
    expect(briefs(memories)).toEqual(["m_x 4096x32 1r1w"]);
  });

  it.each([
    [
      "parentheses in a process",
      `always @(posedge clk) p <= ${"(".repeat(20_000)}x[b]${")".repeat(20_000)};`,
    ],
    [
      "choices in a wire",
      `wire [31:0] w = ${times(20_000, (i) => `e == ${i} ? `)}1${times(20_000, () => " : 0")};`,
    ],
    ["a sum in a wire", `wire [31:0] w = 0${times(30_000, () => " + e")};`],
  ])("what is nested 20,000 deep is asked about, if it matters: %s", async (_, body) => {
    const { memories, questions, unread } = await scanText(around(`${RAM} ${body}`));
    expect(memories.map(({ name }) => name)).toEqual(["m_x"]);
    // The parser may give up on it, or the reader; either is told.
    expect(questions.length + unread.length).toBeGreaterThan(0);
  });

  it("loops of 5,000 rounds end, and longer ones are asked about", async () => {
    const body = (rounds: number) =>
      around(
        `reg [31:0] x [0:1023]; integer i; always @(posedge clk) begin for (i = 0; i < ${rounds}; i = i + 1) if (be[i]) x[wa] <= d; q <= x[ra]; end`,
      );
    expect((await scanText(body(5_000))).questions).toEqual([]);
    const long = await scanText(body(1_000_000));
    expect(long.questions.map(({ code }) => code)).toEqual(["not-constant"]);
    expect(briefs(long.memories)).toEqual(["m_x 1024x32 1r1w"]);
  });

  it.each([
    ["without a body", "for (i = 0; i < 2000000000; i = i + 1) ;"],
    [
      "within loops",
      "for (i = 0; i < 60000; i = i + 1) for (j = 0; j < 60000; j = j + 1) if (be[j]) x[wa] <= d;",
    ],
  ])("a loop that is as good as endless is cut short once: %s", async (_, loop) => {
    const { memories, questions } = await scanText(
      around(
        `reg [31:0] x [0:1023]; integer i, j; always @(posedge clk) begin ${loop} x[wa] <= d; q <= x[ra]; end`,
      ),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 1r1w"]);
    expect(questions.map(({ code }) => code)).toEqual(["not-constant"]);
  });

  it("a process of 30,000 steps is read to its end", async () => {
    const body = times(15_000, (i) => `if (e == ${i}) p[${i % 32}] <= d[0];\n`);
    const { memories, questions } = await scanText(
      around(
        `reg [31:0] x [0:1023]; always @(posedge clk) begin if (we) x[wa] <= d; ${body} q <= x[ra]; end`,
      ),
    );
    expect(briefs(memories)).toEqual(["m_x 1024x32 1r1w"]);
    expect(questions).toEqual([]);
  });
});
