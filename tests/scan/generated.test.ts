import { describe, expect, it } from "vitest";
import { processorText } from "../bench/processor-text.js";
import { brief, scanText } from "./scan-text.js";

describe("a generated processor in one module", () => {
  it.each([1, 2])("has its memories found, seed %i", async (seed) => {
    const { text, memories } = processorText(4_000, seed);
    const result = await scanText(text, { registersBelow: 0 });
    expect(result.unread).toEqual([]);
    expect(result.questions).toEqual([]);
    const found = new Map(result.memories.map((memory) => [memory.name, brief(memory).replace(/^\S+ /, "")]));
    expect([...found].sort()).toEqual([...memories].sort());
    expect(memories.size).toBeGreaterThan(2);
  });
});
