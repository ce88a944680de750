/** True for 1, 2, 4, 8 ... */
export function isPowerOfTwo(n: number): boolean {
  return Number.isSafeInteger(n) && n >= 1 && Number.isInteger(Math.log2(n));
}

/** Bits that tell `n` things apart: ceil(log2 n); 0 for one thing. */
export function bitsFor(n: number): number {
  return n <= 1 ? 0 : BigInt(n - 1).toString(2).length;
}

/** A sum as people write it: `address 38 - index 6 + valid 1 = 33`; parts that are 0 are left out. */
export function sumText(parts: readonly (readonly [name: string, value: number])[]): string {
  const shown = parts.filter(([, value]) => value !== 0);
  const total = parts.reduce((sum, [, value]) => sum + value, 0);
  const terms = shown.map(([name, value], i) => {
    const sign = i === 0 ? (value < 0 ? "-" : "") : value < 0 ? " - " : " + ";
    return `${sign}${name} ${Math.abs(value)}`;
  });
  return shown.length > 1 ? `${terms.join("")} = ${total}` : (terms[0] ?? "0");
}
