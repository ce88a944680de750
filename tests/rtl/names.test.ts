import { describe, expect, it } from "vitest";
import { identifier, Names } from "../../src/rtl/wrap/names.js";

describe("identifiers", () => {
  it.each([
    ["l1d.data", "l1d_data"],
    ["0-th__bank-", "m0_th_bank"],
    ["reg", "reg_m"],
    ["Signal", "Signal_m"],
    ["-", "m"],
  ])("%j becomes %s", (name, wanted) => {
    expect(identifier(name)).toBe(wanted);
  });

  it("differ in more than upper and lower case", () => {
    const names = new Names();
    expect(["a.b", "A_b", "a-b", "a_b_2"].map((name) => names.take(name))).toEqual([
      "a_b",
      "A_b_2",
      "a_b_3",
      "a_b_2_2",
    ]);
  });
});
