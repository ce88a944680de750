/** A word with check bits beside its data, and the lanes that it is written in. */
export interface CheckedWord {
  /** Data and check bits. */
  readonly width: number;
  /** Bits under one write enable, check bits included; null: the word is written whole. */
  readonly lane: number | null;
}

/**
 * Joins `data` bits of word with `check` bits. With lanes each lane takes an equal share of the check bits (parity
 * a byte, say), so that writing one lane never touches the check bits of another.
 */
export function checkedWord(data: number, check: number, lane: number | null): CheckedWord {
  return { width: data + check, lane: lane === null ? null : lane + check / (data / lane) };
}

/** Why `lane` cannot go with this word, or null where it can. */
export function laneProblem(data: number, check: number, lane: number): string | null {
  if (data % lane !== 0) return `expected a lane that divides the word of ${data} bits`;
  const lanes = data / lane;
  if (check % lanes === 0) return null;
  return `expected check bits in equal shares for ${lanes} lanes, or no lane: ${check} check bits over the whole word make every write a write of the whole word`;
}
