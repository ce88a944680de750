/** A number as the titles of changes write it. */
export function figure(value: number): string {
  return value.toLocaleString("en-US");
}

/** `12 words instead of 8`: what is counted stands between the two. */
export function stepText(noun: string, from: number, to: number): string {
  return `${figure(to)} ${noun} instead of ${figure(from)}`;
}

/** `1 bank`, `2 banks`. */
export function counted(count: number, one: string): string {
  return `${figure(count)} ${count === 1 ? one : `${one}s`}`;
}

/** `a`, `a and b`, `a, b and c`. */
export function listed(names: readonly string[]): string {
  if (names.length < 2) return names.join("");
  return `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}
