/** A text, and every diagnostic of it as printed after the name of the file. */
export type Case = readonly [what: string, text: string, ...diagnostics: string[]];

/** Fields of a memory that is right. */
export const GOOD = "name: a, depth: 8, width: 8, ports: 1r1w";

/** Fields of a memory that is right, and more of them. */
export const member = (name: string, more: string) =>
  `name: ${name}, depth: 8, width: 8, ports: 1r1w, ${more}`;

/** Fields of a cache that is right, but for its name. */
export const CACHE = "kind: cache, size: 16 KiB, ways: 4, line: 64 B, address: 38";
