import type { Piece } from "./piece.js";
import { sharesCovered } from "./shares.js";

/** Floating point slack of room. */
const SLACK = 1e-9;

/**
 * The cuts of one piece that are kept whatever they are, and those looked at for them, besides plain ones. Only pieces with many part-filled tiles
 * have more, which differ in how room is spread over fragments; those with the fewest blocks come first, then LUTs, then
 * room taken. Plain ones come on top: in the place of others they would cost blocks.
 */
const MOST_CUTS = 40;
const MOST_SEEN = 200;

/**
 * Rectangles of one option each that a plain cut has at most: a slab, and below it the bulk of the word beside what is left. What stands in
 * for a plain cut counts as plain, so that the space that is documented is never the worse for the limit.
 */
const PLAIN = 3;

/** Pieces up to which putting each in its place is faster than sorting them. */
const FEW = 24;

/** Whether `a` is at least as good as `b` in blocks, what is left to share, LUTs, cascade and (last) tile count. */
function dominates(a: Piece, b: Piece): boolean {
  // What stands in for something fills no more.
  if (a.room > b.room + SLACK || a.luts > b.luts || a.cascade > b.cascade || a.units > b.units) return false;
  if (a.units === b.units && a.unshared === a.units && b.unshared === b.units) {
    return a.luts < b.luts || a.cascade < b.cascade || a.tiles <= b.tiles;
  }
  return sharesCovered(a.shares, b.shares, b.units - a.units);
}

function isPlain({ rectangles }: Piece): boolean {
  return rectangles <= PLAIN;
}

/** What dominates before what it dominates, and of pieces that are alike the one of fewest tiles, and the plainest, first. */
function byCost(a: Piece, b: Piece): number {
  return (
    a.unshared - b.unshared ||
    a.luts - b.luts ||
    // A sign, as a fraction would be an object for each comparison.
    (a.room < b.room ? -1 : a.room > b.room ? 1 : 0) ||
    a.cascade - b.cascade ||
    a.tiles - b.tiles ||
    a.rectangles - b.rectangles
  );
}

function sorted(found: readonly Piece[]): Piece[] {
  const list = [...found];
  if (list.length > FEW) return list.sort(byCost);
  for (let i = 1; i < list.length; i++) {
    const piece = list[i]!;
    let place = i;
    for (; place > 0 && byCost(piece, list[place - 1]!) < 0; place--) list[place] = list[place - 1]!;
    list[place] = piece;
  }
  return list;
}

/** The best of the Pareto set, the best first: those of the fewest units lead. */
export function bestPieces(found: readonly Piece[]): readonly Piece[] {
  if (found.length < 2) return found;
  const kept: Piece[] = [];
  for (const piece of sorted(found)) {
    if (kept.length >= MOST_SEEN && !isPlain(piece)) continue;
    // The latest first: they are most like it.
    let by = kept.length - 1;
    while (by >= 0 && !dominates(kept[by]!, piece)) by -= 1;
    if (by < 0) kept.push(piece);
    else if (piece.rectangles < kept[by]!.rectangles) kept[by] = kept[by]!.standingFor(piece);
  }
  if (kept.length <= MOST_CUTS) return kept;
  return kept.filter((piece, place) => place < MOST_CUTS || isPlain(piece));
}

/** Fewest units that one of the best pieces takes if nothing shares; Infinity where there is none. */
export function fewestUnits(best: readonly Piece[]): number {
  return best.length === 0 ? Number.POSITIVE_INFINITY : best[0]!.unshared;
}
