/** Bits in one unit of size. KiB and its like are powers of 1024, KB and MB powers of 1000. */
const SIZE_UNITS: Readonly<Record<string, number>> = {
  bit: 1,
  bits: 1,
  Kibit: 1024,
  Mibit: 1024 ** 2,
  B: 8,
  KB: 8 * 1000,
  MB: 8 * 1000 ** 2,
  KiB: 8 * 1024,
  MiB: 8 * 1024 ** 2,
  GiB: 8 * 1024 ** 3,
};

/** kHz in one unit of frequency. */
const FREQUENCY_UNITS_KHZ: Readonly<Record<string, number>> = { kHz: 1, MHz: 1000, GHz: 1000 ** 2 };

/** A regular expression of all that {@link parseSize} takes, and of some sizes that are zero or no whole number of bits. */
export const SIZE_PATTERN = quantityPattern(SIZE_UNITS);
/** A regular expression of all that {@link parseFrequency} takes, and of zero. */
export const FREQUENCY_PATTERN = quantityPattern(FREQUENCY_UNITS_KHZ);

function quantityPattern(units: Readonly<Record<string, number>>): string {
  return `^\\d{1,12}(?:\\.\\d{1,6})? ?(?:${Object.keys(units).join("|")})$`;
}

/** A positive decimal number as a fraction of whole numbers, and its unit. */
interface Quantity {
  readonly numerator: number;
  readonly denominator: number;
  readonly unit: string;
}

/** Reads a number, at most one space, and a unit; null where the text has another form. */
function parseQuantity(text: string): Quantity | null {
  const match = /^(\d{1,12})(?:\.(\d{1,6}))? ?([A-Za-z]+)$/.exec(text);
  if (match === null) return null;
  const [, whole = "", fraction = "", unit = ""] = match;
  return { numerator: Number(whole + fraction), denominator: 10 ** fraction.length, unit };
}

/**
 * Reads a size such as `16 KiB`, `64 B`, `1.5 MiB`, `38 bits`, and gives it in bits. Units: bit, bits, Kibit,
 * Mibit, B, KiB, MiB, GiB (powers of 1024), KB, MB (powers of 1000). Null where the text has another form, has no
 * unit, is zero, or is no whole number of bits.
 */
export function parseSize(text: string): number | null {
  const quantity = parseQuantity(text);
  if (quantity === null || !Object.hasOwn(SIZE_UNITS, quantity.unit)) return null;
  const scaled = quantity.numerator * SIZE_UNITS[quantity.unit]!;
  if (!Number.isSafeInteger(scaled) || scaled === 0 || scaled % quantity.denominator !== 0) return null;
  return scaled / quantity.denominator;
}

/**
 * Reads a frequency such as `100 MHz`, `1.5 GHz`, `32768 kHz`, and gives it in MHz. Units: kHz, MHz, GHz. Null
 * where the text has another form, has no unit, or is zero.
 */
export function parseFrequency(text: string): number | null {
  const quantity = parseQuantity(text);
  if (quantity === null || !Object.hasOwn(FREQUENCY_UNITS_KHZ, quantity.unit)) return null;
  const kHz = quantity.numerator * FREQUENCY_UNITS_KHZ[quantity.unit]!;
  return kHz === 0 ? null : kHz / (quantity.denominator * 1000);
}

/**
 * Writes a whole number of bits as {@link parseSize} reads it, in the largest of B, KiB, MiB, GiB in which it is
 * whole (16 KiB, 1536 B), or in bits where it is no whole number of bytes.
 */
export function sizeName(bits: number): string {
  if (bits === 0 || bits % 8 !== 0) return bits === 1 ? "1 bit" : `${bits} bits`;
  const unit = ["GiB", "MiB", "KiB", "B"].find((name) => bits % SIZE_UNITS[name]! === 0)!;
  return `${bits / SIZE_UNITS[unit]!} ${unit}`;
}
