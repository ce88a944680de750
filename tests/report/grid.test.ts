import { stripVTControlCharacters } from "node:util";
import fc from "fast-check";
import columnsOf from "fast-string-width";
import { describe, expect, it } from "vitest";
import { type Column, grid, prose } from "../../src/report/grid.js";

const word = fc.oneof(fc.stringMatching(/^[A-Za-z0-9_.,%-]{1,12}$/), fc.constantFrom("Ωμέγα", "块存储", "…"));
const words = fc.array(word, { minLength: 1, maxLength: 30 });

describe("prose", () => {
  it("keeps every word in order, in lines that are as full as they can be", () => {
    fc.assert(
      fc.property(words, fc.integer({ min: 20, max: 120 }), fc.nat(5), (text, width, indent) => {
        const lines = prose(text.join(" "), width, indent).split("\n");
        expect(lines.flatMap((line) => line.trim().split(" "))).toEqual(text);
        lines.slice(1).forEach((line, i) => {
          expect(line.startsWith(" ".repeat(indent))).toBe(true);
          const [next = ""] = line.trim().split(" ");
          const before = columnsOf(lines[i]!.trim());
          expect(before + 1 + columnsOf(next)).toBeGreaterThan(width - indent);
          expect(before).toBeLessThanOrEqual(width - indent);
        });
      }),
    );
  });

  it("keeps the spaces inside a line, and the lines that the text has", () => {
    expect(prose("old  weather-mast\non up5k", 80)).toBe("old  weather-mast\non up5k");
    expect(prose("", 80)).toBe("");
  });

  it("cuts a word that is wider than a line", () => {
    expect(prose(`see ${"x".repeat(30)} there`, 20)).toBe(`see\n${"x".repeat(19)}…\nthere`);
  });
});

describe("grid", () => {
  it("puts every column where it belongs, whatever its cells hold", () => {
    const column = fc.record({
      head: fc.stringMatching(/^[a-z]{1,9}$/),
      width: fc.integer({ min: 3, max: 30 }),
      align: fc.constantFrom("left" as const, "right" as const),
      wrap: fc.boolean(),
    });
    const painted = word.map((text) => `\u001b[31m${text}\u001b[39m`);
    const cell = fc.oneof(
      words.map((text) => text.join(" ")),
      painted,
      fc.constant(""),
    );
    fc.assert(
      fc.property(column, column, fc.array(fc.tuple(cell, cell)), (first, second, rows) => {
        // A bar after each row's cells shows where they end.
        const bar: Column = { head: "|", width: 1 };
        const table = grid(
          [first, second, bar],
          rows.map((row) => [...row, "|"]),
          true,
        );
        const ends = stripVTControlCharacters(table)
          .split("\n")
          .filter((line) => line.endsWith("|"));
        expect(ends).toHaveLength(1 + rows.length);
        for (const line of ends) expect(columnsOf(line)).toBe(first.width + second.width + 5);
      }),
    );
  });

  it("cuts what is too wide by columns, not characters, and never inside a colour", () => {
    const cut = (text: string, width: number) => grid([{ head: "", width }], [[text]], true);
    expect(cut("Ωμέγα", 4)).toBe("Ωμέ…");
    expect(cut("块存储", 5)).toBe("块存…");
    expect(cut("块存储", 4)).toBe("块…");
    expect(cut("\u001b[31mover budget\u001b[39m", 5)).toBe("\u001b[31mover\u001b[39m…");
    expect(cut("fits", 4)).toBe("fits");
  });
});
