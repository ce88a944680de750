import type { MemoryRequest } from "../model/index.js";

/** Consecutive bits of one member's stored word. */
export interface WordPiece {
  /** Index into the class's parts. */
  readonly part: number;
  /** Which of the part's members. */
  readonly member: number;
  /** First bit of the piece in that member's stored word. */
  readonly firstBit: number;
  /** Position of the piece in the word. */
  readonly start: number;
  readonly bits: number;
}

/**
 * What has to be stored at one address: the members side by side, cut into stretches that are written by one write
 * enable each. No hardware write lane may reach over the end of a stretch.
 */
export interface Word {
  /** Bits. */
  readonly width: number;
  /** For each position, where its stretch ends (exclusive). */
  readonly stretchEnd: Int32Array;
  /** Stretches; 1: no write lanes are needed. */
  readonly stretches: number;
  /** In ascending order of start, without gaps. */
  readonly pieces: readonly WordPiece[];
}

/** A request and how many of its instances lie in one word. */
export interface Part {
  readonly request: MemoryRequest;
  readonly members: number;
}

function writeStretches(request: MemoryRequest, wordsInStored: number): number[] {
  const { width, lane, wordsPerAccess } = request;
  const stored = width * wordsInStored;
  const writable = request.ports.write + request.ports.readWrite > 0;
  if (!writable) return [stored];
  const narrowWrite = wordsInStored > 1 && wordsPerAccess.write === 1;
  if (lane === null) return narrowWrite ? Array<number>(wordsInStored).fill(width) : [stored];
  const one: number[] = [];
  for (let bit = 0; bit < width; bit += lane) one.push(Math.min(lane, width - bit));
  return Array.from({ length: wordsInStored }, () => one).flat();
}

/**
 * The word of a class. `wordsInStored` is 1, or the ratio of unequal port widths where the wide word is stored.
 * Where all members are written `together` and none has lanes, they share one stretch.
 */
export function wordOf(parts: readonly Part[], wordsInStored: number): Word {
  const pieces: WordPiece[] = [];
  const ends: number[] = [];
  let start = 0;
  const add = (part: number, member: number, firstBit: number, bits: number) => {
    pieces.push({ part, member, firstBit, start, bits });
    start += bits;
  };
  const readOnly = parts.every(({ request }) => request.ports.write + request.ports.readWrite === 0);
  // Beside members that need hardware lanes of their own, every member starts at one.
  const together = parts.every(
    ({ request }) => request.lockstep?.together === true && request.lane === null && wordsInStored === 1,
  );
  const joined = () => readOnly || together;
  parts.forEach(({ request, members }, part) => {
    if (!joined()) return;
    for (let member = 0; member < members; member++) add(part, member, 0, request.width * wordsInStored);
  });
  if (start > 0) ends.push(start);
  parts.forEach(({ request, members }, part) => {
    if (joined()) return;
    const stretches = writeStretches(request, wordsInStored);
    for (let member = 0; member < members; member++) {
      let bit = 0;
      for (const bits of stretches) {
        add(part, member, bit, bits);
        ends.push(start);
        bit += bits;
      }
    }
  });
  const stretchEnd = new Int32Array(start);
  let from = 0;
  for (const end of ends) {
    stretchEnd.fill(end, from, end);
    from = end;
  }
  return { width: start, stretchEnd, stretches: ends.length, pieces };
}

/**
 * Where a column that starts at `position` ends (exclusive): `slots` hardware lanes of `laneBits` each, none of
 * which reaches over the end of a stretch.
 */
export function columnEnd(word: Word, position: number, slots: number, laneBits: number): number {
  let at = position;
  for (let slot = 0; slot < slots && at < word.width; slot++) {
    at = Math.min(at + laneBits, word.stretchEnd[at]!);
  }
  return at;
}

/** A run of a member's bits in a block's word. Both bounds included. */
export interface Placed {
  readonly part: number;
  readonly member: number;
  readonly bits: readonly [number, number];
  readonly at: number;
}

/** The bits of a column that holds `[position, end)`, in ascending order of place; neighbours are joined. */
export function columnRuns(
  word: Word,
  position: number,
  end: number,
  slots: number,
  laneBits: number,
): Placed[] {
  const runs: Placed[] = [];
  let at = position;
  let index = word.pieces.findIndex((piece) => piece.start + piece.bits > position);
  for (let slot = 0; slot < slots && at < end; slot++) {
    const slotStart = at;
    const slotEnd = Math.min(at + laneBits, word.stretchEnd[at]!, end);
    while (at < slotEnd) {
      const piece = word.pieces[index]!;
      const upTo = Math.min(slotEnd, piece.start + piece.bits);
      const first = piece.firstBit + at - piece.start;
      const place = slot * laneBits + at - slotStart;
      const last = runs.at(-1);
      const bits = upTo - at;
      const follows =
        last !== undefined &&
        last.part === piece.part &&
        last.member === piece.member &&
        last.bits[1] + 1 === first &&
        last.at + (last.bits[1] - last.bits[0] + 1) === place;
      if (follows) runs[runs.length - 1] = { ...last, bits: [last.bits[0], first + bits - 1] };
      else runs.push({ part: piece.part, member: piece.member, bits: [first, first + bits - 1], at: place });
      at = upTo;
      if (at === piece.start + piece.bits) index += 1;
    }
  }
  return runs;
}
