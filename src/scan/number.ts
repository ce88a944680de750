/** Bits of one digit. */
const DIGIT_BITS: Readonly<Record<string, number>> = { b: 1, o: 3, h: 4 };

/**
 * The value of a number as IEEE 1800-2017, 5.7.1 writes it; null where a digit is x, z or ?, or it is not whole.
 * `width` is null where the text gives none.
 */
export function numberOf(text: string): { readonly value: bigint | null; readonly width: number | null } {
  const plain = text.replace(/[\s_]/g, "").toLowerCase();
  if (/^\d+$/.test(plain)) return { value: BigInt(plain), width: null };
  const fill = /^'([01xz])$/.exec(plain)?.[1];
  // A fill of ones is as wide as its place: no value that could be told here.
  if (fill !== undefined) return { value: fill === "0" ? 0n : null, width: null };
  const based = /^(\d*)'s?([bodh])([0-9a-fxz?]+)$/.exec(plain);
  if (based === null) return { value: null, width: null };
  const [, size = "", base = "d", digits = ""] = based;
  const width = size === "" ? null : Number(size);
  if (/[xz?]/.test(digits)) return { value: null, width };
  if (base === "d") return { value: /^\d+$/.test(digits) ? cut(BigInt(digits), width) : null, width };
  try {
    const prefix = { b: "0b", o: "0o", h: "0x" }[base as "b" | "o" | "h"];
    const bits = width ?? digits.length * DIGIT_BITS[base]!;
    return { value: cut(BigInt(prefix + digits), bits), width };
  } catch {
    return { value: null, width };
  }
}

function cut(value: bigint, width: number | null): bigint {
  return width === null ? value : BigInt.asUintN(Math.min(width, 2 ** 20), value);
}
