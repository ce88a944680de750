import { readdirSync, readFileSync } from "node:fs";
import { posix } from "node:path";
import ts from "typescript";

/** One import, type imports and imports at run time included. */
export interface Import {
  /** File that imports, relative to the root folder, with `/`. */
  readonly from: string;
  /** What it imports: a file relative to the root folder, or a library by its name. */
  readonly to: string;
}

/** Ends of source files that TypeScript writes as `.js` in an import. */
const SOURCE = /\.(?:js|tsx?)$/;

/** Every import in the `.ts`, `.tsx` and `.js` files under a folder: those of files, as the file that is there, and others. */
export function importsUnder(root: URL): { readonly files: Import[]; readonly libraries: Import[] } {
  const names = readdirSync(root, { recursive: true, encoding: "utf8" })
    .map((name) => name.replaceAll("\\", "/"))
    .filter((name) => SOURCE.test(name));
  const bySpecifier = new Map(names.map((name) => [name.replace(SOURCE, ""), name]));
  const files: Import[] = [];
  const libraries: Import[] = [];
  for (const from of names) {
    const text = readFileSync(new URL(from, root), "utf8");
    for (const { fileName } of ts.preProcessFile(text, true, true).importedFiles) {
      const path = posix.join(posix.dirname(from), fileName);
      if (!fileName.startsWith(".")) libraries.push({ from, to: fileName });
      else files.push({ from, to: bySpecifier.get(path.replace(SOURCE, "")) ?? path });
    }
  }
  return { files, libraries };
}

/** A circle of imports (first file again at the end), or null where there is none. */
export function circleIn(imports: readonly Import[]): readonly string[] | null {
  const next = new Map<string, string[]>();
  for (const { from, to } of imports) next.set(from, [...(next.get(from) ?? []), to]);
  const done = new Set<string>();
  const visit = (file: string, path: readonly string[]): readonly string[] | null => {
    if (path.includes(file)) return [...path.slice(path.indexOf(file)), file];
    if (done.has(file)) return null;
    for (const to of next.get(file) ?? []) {
      const circle = visit(to, [...path, file]);
      if (circle !== null) return circle;
    }
    done.add(file);
    return null;
  };
  for (const file of next.keys()) {
    const circle = visit(file, []);
    if (circle !== null) return circle;
  }
  return null;
}
