import { describe, expect, it } from "vitest";
import { tileMap } from "../../src/report/explain-map.js";

const tile = (rows: [number, number], bits: [number, number], label: string) => ({ rows, bits, label });

describe("a map of tiles", () => {
  it("has words from the top down, bits from the left, and a tile over several rows once", () => {
    const tiles = [
      tile([0, 2047], [0, 8], "2048x9"),
      tile([2048, 2999], [0, 17], "1024x18"),
      tile([0, 2047], [9, 17], "2048x9"),
      tile([0, 2999], [18, 19], "4096x4"),
    ];
    expect(tileMap(tiles, 80)).toBe(
      [
        "      words   19-18    17-9      8-0       bits",
        "            +--------+---------+--------+",
        "    0-2,047 | 4096x4 | 2048x9  | 2048x9 |",
        "            +        +---------+--------+",
        "2,048-2,999 |        | 1024x18          |",
        "            +--------+---------+--------+",
      ].join("\n"),
    );
  });

  it("draws like columns and like rows as one, with their number", () => {
    const tiles = [0, 1, 2, 3].flatMap((column) =>
      [0, 1].map((row) => tile([row * 512, row * 512 + 511], [column * 9, column * 9 + 8], "512x9")),
    );
    expect(tileMap(tiles, 80)).toBe(
      [
        "  words   35-0         bits",
        "        +-----------+",
        "0-1,023 | 8 x 512x9 |",
        "        +-----------+",
      ].join("\n"),
    );
  });

  it("is left out where it would be too large", () => {
    const many = Array.from({ length: 20 }, (_, row) =>
      tile([row * (row + 1), row * (row + 1) + 2 * row + 1], [0, 8], "x"),
    );
    expect(tileMap(many, 80)).toBeNull();
    const wide = Array.from({ length: 12 }, (_, at) =>
      tile([0, 9], [at * (at + 1), at * (at + 1) + 2 * at + 1], "16384x1"),
    );
    expect(tileMap(wide, 80)).toBeNull();
    expect(tileMap(wide, 200)).not.toBeNull();
    expect(tileMap([], 80)).toBeNull();
  });
});
