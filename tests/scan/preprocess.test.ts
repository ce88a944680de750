import { describe, expect, it } from "vitest";
import type { Source } from "../../src/index.js";
import { plainMacro } from "../../src/scan/macros.js";
import { type Directives, preprocess } from "../../src/scan/preprocess.js";
import { type Note, SourceMap } from "../../src/scan/source-map.js";

interface Preprocessed {
  readonly text: string;
  readonly notes: readonly string[];
  readonly map: SourceMap;
}

function run(
  text: string,
  files: Readonly<Record<string, string>> = {},
  defines: readonly (readonly [string, string])[] = [],
): Preprocessed {
  const map = new SourceMap();
  const notes: Note[] = [];
  const directives: Directives = {
    macros: new Map(defines.map(([name, value]) => [name, plainMacro(name, value)])),
    include: (name): Source | null => (files[name] === undefined ? null : { file: name, text: files[name] }),
    mentioned: new Set(),
  };
  const result = preprocess({ file: "main.v", text }, 0, directives, map, notes);
  return { text: result, notes: notes.map(({ diagnostic }) => diagnostic.message), map };
}

describe("compiler directives", () => {
  it.each([
    ["a macro", "`define W 8\nreg [`W-1:0] a;", "\nreg [8-1:0] a;"],
    ["a macro within a macro", "`define A 8\n`define B (`A*2)\n`B", "\n\n(8*2)"],
    ["a macro that is defined after the one that uses it", "`define B (`A*2)\n`define A 8\n`B", "\n\n(8*2)"],
    [
      "arguments",
      "`define MAX(a, b) ((a) > (b) ? (a) : (b))\n`MAX(x[1:0], f(y, z))",
      "\n((x[1:0]) > (f(y, z)) ? (x[1:0]) : (f(y, z)))",
    ],
    ["a default argument", "`define P(a, b=7) a+b\n`P(1) `P(1,2)", "\n1+7 1+2"],
    ["a definition over two lines keeps their number", "`define T a \\\n  b\n`T c", "\n\na b c"],
    ["a use over two lines keeps their number", "`define P(a, b) a+b\n`P(1,\n2) c", "\n1+2\n c"],
    ["joined words", "`define N(a) x_``a``_y\n`N(in)", "\nx_in_y"],
    ["quoted words", '`define S(a) `"a.hex`"\n`S(boot)', '\n"boot.hex"'],
    ["a comment after a definition", "`define W 8 // bits\n`W /* `W */ // `W", "\n8 /* `W */ // `W"],
    ["strings stay as they are", '`define W 8\n"`W"', '\n"`W"'],
    ["ifdef, not defined", "`ifdef A\nx\n`else\ny\n`endif\nz", "\n\n\ny\n\nz"],
    ["ifdef, defined", "`define A\n`ifdef A\nx\n`else\ny\n`endif\nz", "\n\nx\n\n\n\nz"],
    ["ifndef", "`ifndef A\nx\n`endif", "\nx\n"],
    [
      "elsif: the first that holds",
      "`define B\n`define C\n`ifdef A\na\n`elsif B\nb\n`elsif C\nc\n`else\nd\n`endif",
      "\n\n\n\n\nb\n\n\n\n\n",
    ],
    [
      "nested, the outer one not taken",
      "`ifdef A\n`ifndef B\nx\n`else\ny\n`endif\n`else\nz\n`endif",
      "\n\n\n\n\n\n\nz\n",
    ],
    ["a definition that is not taken", "`ifdef A\n`define W 8\n`endif\n`ifdef W\nx\n`endif", "\n\n\n\n\n"],
    ["undef", "`define A\n`undef A\n`ifdef A\nx\n`endif", "\n\n\n\n"],
    ["other directives", "`timescale 1ns/1ps\n`default_nettype none\nx\n`resetall", "\n\nx\n"],
  ])("%s", (_, text, expected) => {
    const { text: result, notes } = run(text);
    expect(notes).toEqual([]);
    expect(result.replace(/[ \t]+$/gm, "").replace(/ +/g, " ")).toBe(expected.replace(/ +/g, " "));
    expect(result.split("\n").length).toBe(text.split("\n").length);
  });

  it("takes macros from outside", () => {
    expect(run("`ifdef A\n`A\n`endif", {}, [["A", "5"]]).text).toBe("\n5\n");
  });

  it("puts an include in and says where its text is from", () => {
    const { text, map, notes } = run('a\n`include "i.vh"\nb `W', { "i.vh": "`define W 8\nc" });
    expect(notes).toEqual([]);
    expect(text).toBe("a\n\nc\nb 8");
    expect(map.placeOf(text.indexOf("c"))).toEqual({
      source: { file: "i.vh", text: "`define W 8\nc" },
      offset: 12,
    });
    const b = map.placeOf(text.indexOf("b"));
    expect([b.source.file, b.offset]).toEqual(["main.v", 18]);
    // What a macro stands for is where the macro is used.
    expect(map.placeOf(text.indexOf("8")).offset).toBe(20);
  });

  it.each([
    [
      "a macro that is not defined",
      "`define WIDTH 8\n`WIDHT",
      '`WIDHT is not defined; did you mean "WIDTH"?',
    ],
    [
      "a missing file",
      '`include "no.vh"',
      '"no.vh" is in no folder that is searched (-I adds one); left out',
    ],
    ["too few arguments", "`define P(a, b) a+b\n`P(1)", "`P: expected 2 arguments, found 1"],
    ["too many arguments", "`define P(a, b) a+b\n`P(1, 2, 3)", "`P: expected 2 arguments, found 3"],
    ["no arguments", "`define P(a, b) a+b\n`P;", "`P: expected arguments in parentheses, found none"],
    [
      "an open parenthesis",
      "`define P(a, b) a+b\n`P(1",
      "`P: expected a closing parenthesis, found the end of the text",
    ],
    ["a branch that is not closed", "`ifdef A\nx", "expected an `endif for this, found the end of the file"],
    ["an else of nothing", "`else", "expected an `ifdef before `else, found none"],
    ["an ifdef of nothing", "`ifdef\n`endif", "expected a name after `ifdef, found none"],
    ["an include of nothing", "`include x", "expected the name of a file after `include, found none"],
  ])("tells of %s", (_, text, message) => {
    expect(run(text).notes).toEqual([message]);
  });

  it("a macro of itself and an include of itself end", () => {
    expect(run("`define A `A x\n`A").notes[0]).toContain("stands for itself");
    expect(run('`include "i"', { i: '`include "i"' }).notes[0]).toContain("nested more than 64 deep");
  });

  it("macros that double end", () => {
    const lines = Array.from({ length: 60 }, (_, i) => `\`define M${i + 1} \`M${i} \`M${i}`);
    const { text } = run(["`define M0 x", ...lines, "`M16"].join("\n"));
    expect(text.split("x").length - 1).toBe(2 ** 16);
  });
});
