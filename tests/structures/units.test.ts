import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parseFrequency, parseSize, sizeName } from "../../src/model/units.js";

describe("parseSize", () => {
  it.each([
    ["64 B", 512],
    ["64B", 512],
    ["16 KiB", 131_072],
    ["1.5 KiB", 12_288],
    ["1 MiB", 8_388_608],
    ["1 GiB", 8_589_934_592],
    ["2 KB", 16_000],
    ["1 MB", 8_000_000],
    ["0.5 B", 4],
    ["38 bits", 38],
    ["1 bit", 1],
    ["9 Kibit", 9216],
    ["2 Mibit", 2_097_152],
  ])("%s is %i bits", (text, bits) => {
    expect(parseSize(text)).toBe(bits);
  });

  it.each([
    "16",
    "KiB",
    "16 kib",
    "16 kB",
    "16  KiB",
    " 16 KiB",
    "16 KiB ",
    "16\tKiB",
    "-1 B",
    "+1 B",
    "1e3 B",
    "1. KiB",
    ".5 KiB",
    "0 B",
    "0.3 bits",
    "1,024 B",
    "1 constructor",
    "999999999999 GiB",
    "",
  ])("refuses %j", (text) => {
    expect(parseSize(text)).toBeNull();
  });
});

describe("parseFrequency", () => {
  it.each([
    ["100 MHz", 100],
    ["1.5 GHz", 1500],
    ["32768 kHz", 32.768],
    ["12MHz", 12],
    ["0.1 MHz", 0.1],
  ])("%s is %d MHz", (text, mhz) => {
    expect(parseFrequency(text)).toBe(mhz);
  });

  it.each(["100", "100 mhz", "0 MHz", "100 Hz", "MHz", "1  GHz", "1 toString"])("refuses %j", (text) => {
    expect(parseFrequency(text)).toBeNull();
  });
});

describe("sizeName", () => {
  it.each([
    [131_072, "16 KiB"],
    [12_288, "1536 B"],
    [38, "38 bits"],
    [1, "1 bit"],
    [0, "0 bits"],
    [8 * 1024 ** 2, "1 MiB"],
  ])("%i bits are %s", (bits, text) => {
    expect(sizeName(bits)).toBe(text);
  });

  it("is read back as the same number of bits", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 2 ** 36 }), (bits) => {
        expect(parseSize(sizeName(bits))).toBe(bits);
      }),
    );
  });
});
