import { describe, expect, it } from "vitest";
import { readAxis } from "../../../src/advise/sweep/axis.js";
import { OptionError } from "../../../src/advise/sweep/option-error.js";

describe("an axis", () => {
  it.each([
    ["l1d.ways=1,2,4,8", [1, 2, 4, 8]],
    ["l1d.size=16 KiB, 32KiB", ["16 KiB", "32KiB"]],
    ["l1d.replacement=lru,tree-plru,'fifo'", ["lru", "tree-plru", "fifo"]],
    ["l1i.read_only=true,false", [true, false]],
    ["l1d.ways=1..4", [1, 2, 3, 4]],
    ["l1d.ways=1..64*2,3", [1, 2, 4, 8, 16, 32, 64, 3]],
    ["m.depth=0..20+8", [0, 8, 16]],
    ["m.depth=5..5", [5]],
    ["l1d.size=4 KiB..32 KiB*2", ["4 KiB", "8 KiB", "16 KiB", "32 KiB"]],
    ["l1d.size=512 B..2 KiB*2", ["512 B", "1 KiB", "2 KiB"]],
    ["l1d.size=4 KiB..12 KiB+4", ["4 KiB", "8 KiB", "12 KiB"]],
    ["l1d.ways=2,2,1..3", [2, 1, 3]],
    ["m.width=1.5", [1.5]],
  ])("%s", (text, values) => {
    expect(readAxis(text)).toEqual({ path: text.split("=")[0], values });
  });

  it.each([
    "l1d.ways",
    "=1,2",
    "l1d.ways=",
    "l1d.ways=[1, 2]",
    "l1d.ways={a: 1}",
    "l1d.ways=1]",
    "l1d.ways=null",
    "l1d.ways=8..1",
    "l1d.ways=0..8*2",
    "l1d.ways=1..8*1",
    "l1d.ways=1..8+0",
    "l1d.ways=1..100000",
    "l1d.size=4 KiB..32 QiB",
    "l1d.size=4..32 KiB",
  ])("%s is refused", (text) => {
    expect(() => readAxis(text)).toThrow(OptionError);
  });
});
