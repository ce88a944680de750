import { describe, expect, it } from "vitest";
import { bestPieces } from "../../src/candidates/best-pieces.js";
import { NOTHING, Piece } from "../../src/candidates/piece.js";

/** A piece whose tiles share nothing, of so many units and LUTs, made of so many rectangles. */
function piece(units: number, luts: number, rectangles: number): Piece {
  return new Piece(units, units, units, units, luts, 1, rectangles, 0, 0, NOTHING.made);
}

/** Pieces of which none is better than another: each takes a unit more than the one before it, and a LUT less. */
function pieces(count: number, isPlain: (place: number) => boolean): Piece[] {
  return Array.from({ length: count }, (_, place) => piece(place + 1, count - place, isPlain(place) ? 1 : 9));
}

describe("the best pieces", () => {
  it("keep the first ones, however many plain ones there are", () => {
    const all = pieces(100, (place) => place % 10 > 0);
    const kept = bestPieces(all);
    expect(kept).toEqual(expect.arrayContaining(all.slice(0, 40)));
  });

  it("keep plain ones, however many others there are", () => {
    const all = pieces(300, (place) => place % 50 === 49);
    const kept = bestPieces(all);
    expect(kept).toEqual(expect.arrayContaining(all.filter(({ rectangles }) => rectangles === 1)));
    expect(kept.length).toBeLessThan(100);
  });

  it("leave out what another outdoes, unless it is the plainer one", () => {
    const [plain, mixed] = [piece(3, 5, 1), piece(3, 4, 9)];
    expect(bestPieces([plain, mixed]).map(({ luts, rectangles }) => [luts, rectangles])).toEqual([[4, 1]]);
    expect(bestPieces([piece(3, 5, 9), mixed])).toEqual([mixed]);
  });
});
