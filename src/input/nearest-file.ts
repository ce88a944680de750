import { readdirSync, statSync } from "node:fs";
import { basename, dirname, extname, join, parse, sep } from "node:path";
import { nearestName } from "./nearest.js";

function exists(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false }) !== undefined;
}

/** What a folder holds: files or folders. Links are either. */
function namesIn(folder: string, wanted: "files" | "folders"): string[] {
  const entries = readdirSync(folder, { withFileTypes: true });
  const fits = entries.filter(
    (entry) => entry.isSymbolicLink() || (wanted === "files" ? entry.isFile() : entry.isDirectory()),
  );
  return fits.map(({ name }) => name).sort();
}

/** The name in a folder that is most like one that it has not: its ending, or what comes before it, is as it was typed. */
function nearestIn(folder: string, name: string, wanted: "files" | "folders"): string | null {
  const names = namesIn(folder, wanted);
  const { name: stem, ext } = parse(name);
  const alike = names.filter((each) => extname(each) === ext);
  const near = nearestName(
    stem,
    alike.map((each) => parse(each).name),
  );
  return near === null ? (names.find((each) => parse(each).name === stem) ?? null) : `${near}${ext}`;
}

/**
 * The file most like one that is not there, as seen from the last folder on its way that is; null where none is, or that cannot be told.
 *
 * @param path of a file that does not exist
 */
function nearestFile(path: string): string | null {
  const folder = dirname(path);
  if (folder === path) return null;
  try {
    if (exists(folder)) return nearestIn(folder, basename(path), "files");
    const there = nearestFolder(folder);
    if (there === null) return null;
    const wanted = basename(path);
    const meant = join(there.from, there.name);
    const file = exists(join(meant, wanted)) ? wanted : nearestIn(meant, wanted, "files");
    return file === null ? null : [there.name, file].join(sep);
  } catch {
    // Not readable, or no folder after all.
    return null;
  }
}

/** The folder most like one that is not there, as seen from the last folder on its way that is. */
function nearestFolder(path: string): { readonly from: string; readonly name: string } | null {
  const from = dirname(path);
  if (from === path || !exists(from)) return null;
  const name = nearestIn(from, basename(path), "folders");
  return name === null ? null : { from, name };
}

/** What is said of a file that is not there: with the one most like it, seen from the last folder on its way that is, where one is. */
export function noSuchFile(path: string): string {
  const near = nearestFile(path);
  return near === null ? "no such file" : `no such file; did you mean ${JSON.stringify(near)}?`;
}
