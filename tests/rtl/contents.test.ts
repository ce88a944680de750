import { describe, expect, it } from "vitest";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { hexText, readContents, storedWords } from "../../src/rtl/wrap/contents.js";

/** The words of a text that has none wrong. */
function words(text: string, depth: number, width: number): readonly bigint[] {
  const read = readContents(text, depth, width);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.words;
}

// The form is that of $readmemh, IEEE 1364-2005, 17.2.9 (from memory).
describe("a hex file", () => {
  it("gives words in order, on one line or several, with comments and underscores", () => {
    expect(words("1 2\n// 3\nA_b /* 4\n 5 */ c\r\nd", 6, 8)).toEqual([1n, 2n, 0xabn, 0xcn, 0xdn, 0n]);
  });

  it("goes on at an address, and leaves zeros between", () => {
    expect(words("1 @3 2 @1 7", 5, 4)).toEqual([1n, 7n, 0n, 2n, 0n]);
  });

  it("takes words wider than a number is exact", () => {
    const wide = `${"f".repeat(17)}1`;
    expect(words(wide, 1, 72)).toEqual([BigInt(`0x${wide}`)]);
  });

  it.each([
    ["12", 4, 4, 1, "a word of 4 bits"],
    ["1\n\nxz", 4, 4, 3, "hexadecimal digits"],
    ["@4 1", 4, 4, 1, "below the depth, 4"],
    ["1 2 3\n4 5", 4, 4, 2, "at most 4 words"],
    ["0x1", 4, 4, 1, "hexadecimal digits"],
  ])("%j for %i words of %i bits is wrong in line %i", (text, depth, width, line, message) => {
    const read = readContents(text, depth, width);
    if (read.ok) throw new Error("it was read");
    expect(read.problems).toHaveLength(1);
    expect(read.problems[0]).toMatchObject({ line });
    expect(read.problems[0]!.message).toContain(message);
  });

  it("is written with as many digits as the width asks for", () => {
    expect(hexText([0n, 0x1ffn], 9)).toBe("000\n1ff\n");
  });

  it("is stored several words in one, the first lowest", () => {
    const request = memoryRequest({ name: "m", depth: 4, width: 4, ports: parsePorts("1r1w")! });
    expect(storedWords(request, [1n, 2n, 3n, 4n], 8)).toEqual([0x21n, 0x43n]);
  });
});
