/** Stands in for src/input/read-source.ts in a page, which has no files. */
export function readSource(path: string): never {
  throw new Error(`${path}: a page reads no files`);
}
