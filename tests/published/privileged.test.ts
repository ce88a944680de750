import { describe, expect, it } from "vitest";
import { allBits, build, part, shapeOf } from "../structures/build.js";

describe("RISC-V privileged specification, chapters on Sv32, Sv39 and Sv48", () => {
  // Virtual and physical page numbers. Sv39 as read in the text (section 12.4.1); Sv32 and Sv48 from memory.
  // A direct-mapped TLB of 2^n entries keeps all of the virtual page number but n bits.
  it.each([
    { mode: "sv32", vpn: 20, ppn: 22 },
    { mode: "sv39", vpn: 27, ppn: 44 },
    { mode: "sv48", vpn: 36, ppn: 44 },
  ])(
    "$mode: virtual page $vpn bits, physical page $ppn bits, permissions R W X U G A D",
    ({ mode, vpn, ppn }) => {
      const tlb = build({ kind: "tlb", entries: 256, ways: 1, mode });
      expect(shapeOf(part(tlb, "tag"))).toBe(`1 of 256x${vpn - 8 + 1}`);
      expect(shapeOf(part(tlb, "data"))).toBe(`1 of 256x${ppn + "RWXUGAD".length}`);
    },
  );

  it("the page offset of 12 bits is not translated: an address of the whole mode changes nothing", () => {
    const all = build({ kind: "tlb", entries: 64, ways: 4, mode: "sv39" });
    expect(build({ kind: "tlb", entries: 64, ways: 4, mode: "sv39", address: 44 + 12 })).toEqual(all);
    const less = build({ kind: "tlb", entries: 64, ways: 4, mode: "sv39", address: 38 });
    expect(part(less, "data").width).toBe(38 - 12 + 7);
  });

  // Three levels, so three sizes of page: 4 KiB, 2 MiB, 1 GiB.
  it("Sv39 has three page sizes, which take 2 bits, and not four", () => {
    const entries = (page_sizes: number) =>
      build({ kind: "tlb", entries: 16, ways: "full", mode: "sv39", page_sizes });
    expect(part(entries(3), "entries").width - part(entries(1), "entries").width).toBe(2);
    expect(() => entries(4)).toThrow("at most the 3 page sizes");
  });

  // Published settings of an open in-order core generator (32-entry data TLB) and of an open 64-bit application
  // core (16 + 16 entries, default Sv39 configuration): fully associative.
  it.each([32, 16])("a fully associative TLB of %i entries is registers", (entries) => {
    const tlb = build({ kind: "tlb", entries, ways: "full", mode: "sv39" });
    expect(tlb.requests).toHaveLength(1);
    expect(part(tlb, "entries").realisation).toBe("registers");
    expect(allBits(tlb.requests)).toBe(entries * (27 + 1 + 44 + 7));
    expect(tlb.warnings).toHaveLength(1);
    expect(tlb.warnings[0]).toContain("every entry at once");
  });
});

describe("RISC-V unprivileged specification, register state (from memory)", () => {
  // 32 integer registers of XLEN bits, 32 floating-point registers of FLEN bits.
  it.each([32, 64])("32 registers of %i bits", (width) => {
    const registers = build({ kind: "register-file", entries: 32, width, reads: 2 });
    expect(allBits(registers.requests)).toBe(32 * width);
    expect(registers.requests[0]?.ports).toEqual({ read: 2, write: 1, readWrite: 0 });
  });
});
