/**
 * How reports write numbers and names: short, exact and free of control characters.
 */
import { figure } from "../model/words.js";

export { counted, figure, listed } from "../model/words.js";

/**
 * A number in at most five characters, for table columns: itself up to 99,999 (with one decimal where that still
 * fits), then three digits with k, M, G, T for powers of 1,000: `1.23M`. `huge` from 10^15 on.
 */
export function shortCount(value: number): string {
  if (value < 1000) return String(Math.round(value * 10) / 10);
  if (value < 99_999.5) return String(Math.round(value));
  return scaled(value, 1000, ["k", "M", "G", "T"]);
}

/**
 * Bits in at most five characters: as they are below 1,000, then three digits with K, M, G, T for powers of
 * 1,024: `58.6K` is 60,000 bits. `huge` from 1,000 T on.
 */
export function shortBits(bits: number): string {
  if (bits < 1000) return String(bits);
  return scaled(bits, 1024, ["K", "M", "G", "T"]);
}

function scaled(value: number, base: number, units: readonly string[]): string {
  let rest = value;
  for (const unit of units) {
    rest /= base;
    if (rest < 999.5) return Number(rest.toPrecision(3)) + unit;
  }
  return "huge";
}

/**
 * `part` of `whole` as a percentage without decimals: `19%`. A part that is not zero never shows as 0 % and one
 * that is not the whole never as 100 %: `<1%`, `>99%`. Zero of zero is `0%`.
 */
export function percent(part: number, whole: number): string {
  if (part === 0 || whole === 0) return "0%";
  const share = (100 * part) / whole;
  if (share < 0.5) return "<1%";
  if (share >= 99.5 && part < whole) return ">99%";
  return `${Math.round(share)}%`;
}

/** A change with its sign: `+4`, `-0.5`; `.` for none. */
export function signed(change: number): string {
  if (change === 0) return ".";
  return `${change > 0 ? "+" : "-"}${figure(Math.abs(change), 3)}`;
}

/** Text of the user as one line: control and format characters (line ends, escapes) become `?`. */
export function plain(text: string): string {
  return text.replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Zl}\p{Zp}]/gu, "?");
}
