import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { counted, listed, percent, plain, shortBits, shortCount } from "../../src/report/text.js";

describe("short numbers", () => {
  it("never take more than five characters", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: Number.MAX_SAFE_INTEGER }), (n) => {
        expect(shortCount(n).length).toBeLessThanOrEqual(5);
        expect(shortBits(n).length).toBeLessThanOrEqual(5);
      }),
    );
  });

  it("say fractions of blocks up to a thousand", () => {
    expect(shortCount(12.5)).toBe("12.5");
    expect(shortCount(0.333)).toBe("0.3");
    expect(shortCount(1234.5)).toBe("1235");
    expect(shortCount(1_234_567)).toBe("1.23M");
  });

  it("count bits in powers of 1,024", () => {
    expect(shortBits(999)).toBe("999");
    expect(shortBits(18_432)).toBe("18K");
    expect(shortBits(60_000)).toBe("58.6K");
    expect(shortBits(27 * 1024 * 1024)).toBe("27M");
  });
});

describe("percent", () => {
  it("rounds, but never to nothing or to the whole", () => {
    expect(percent(15, 36)).toBe("42%");
    expect(percent(0, 10)).toBe("0%");
    expect(percent(1, 10_000)).toBe("<1%");
    expect(percent(9_999, 10_000)).toBe(">99%");
    expect(percent(10, 10)).toBe("100%");
    expect(percent(0, 0)).toBe("0%");
  });
});

describe("words", () => {
  it("count and list", () => {
    expect(counted(1, "copy", "copies")).toBe("1 copy");
    expect(counted(2, "copy", "copies")).toBe("2 copies");
    expect(listed(["a"])).toBe("a");
    expect(listed(["a", "b", "c"])).toBe("a, b and c");
  });

  it("take control characters out of names", () => {
    expect(plain("a\u001b[31mb\nc\u202ed")).toBe("a?[31mb?c?d");
    expect(plain("größe")).toBe("größe");
  });
});
