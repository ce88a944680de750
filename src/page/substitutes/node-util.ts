/** Stands in for node:util in a page: what the packer uses of it, for plain data as YAML gives it. */
export function isDeepStrictEqual(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const [keys, others] = [Object.keys(a), Object.keys(b)];
  if (keys.length !== others.length) return false;
  return keys.every(
    (key) =>
      Object.hasOwn(b, key) &&
      isDeepStrictEqual((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]),
  );
}
