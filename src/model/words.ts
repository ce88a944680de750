/** Numbers and lists in words, as every text of ours writes them. */

/**
 * A whole or fractional number with thousands separators, at most `digits` decimals (default 0): `28,311`. Written out,
 * because loading the platform's own formatting takes as long as the rest of a report.
 */
export function figure(value: number, digits = 0): string {
  const rounded = Math.abs(value).toFixed(digits);
  const [whole = "", decimals = ""] = rounded.split(".");
  const kept = decimals.replace(/0+$/, "");
  const sign = value < 0 && /[1-9]/.test(rounded) ? "-" : "";
  return `${sign}${whole.replace(/\B(?=(?:\d{3})+$)/g, ",")}${kept === "" ? "" : `.${kept}`}`;
}

/** `1 block`, `2 blocks`; `many` where the plural is not formed with s. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${figure(count, 3)} ${count === 1 ? one : many}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(items: readonly string[]): string {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} and ${items.at(-1)}`;
}
