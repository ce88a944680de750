import { createHash } from "node:crypto";
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, dirname, join } from "node:path";
import { UsageError } from "./usage-error.js";
import { unwritable } from "./write-file.js";

/** A file of a folder: its name in it, and its text. */
export interface FolderFile {
  readonly path: string;
  readonly text: string;
}

const sha256 = (data: string | Buffer) => createHash("sha256").update(data).digest("hex");

/** Most files that an error names. */
const NAMED = 5;

/** The file's hash; null where there is none. A folder under the name of a file is never ours. */
function hashOf(path: string): string | null {
  if (!existsSync(path)) return null;
  return statSync(path).isFile() ? sha256(readFileSync(path)) : "";
}

/** Names and hashes of the files that an earlier run wrote, from its manifest; none where there is no usable one. */
function earlierFiles(folder: string, manifest: string): ReadonlyMap<string, string> {
  try {
    const text = readFileSync(join(folder, manifest), "utf8");
    const { files } = JSON.parse(text) as { files: { path: string; sha256: string }[] };
    const plain = ({ path }: { path: string }) => basename(path) === path;
    return new Map([
      ...files.filter(plain).map((file) => [file.path, file.sha256] as const),
      [manifest, sha256(text)],
    ]);
  } catch {
    return new Map();
  }
}

/**
 * Writes files into a folder, all or none: they are written beside it first and then moved in, the manifest last. A file
 * that is there already is replaced where it is from an earlier run and unchanged since, or where `force` is given; files
 * of an earlier run that are not written again are removed, if unchanged. Throws UsageError otherwise, and where the
 * folder cannot be written.
 */
export function writeFolder(
  folder: string,
  files: readonly FolderFile[],
  manifest: string,
  force: boolean,
): void {
  const earlier = earlierFiles(folder, manifest);
  const foreign = files.filter(({ path, text }) => {
    const there = hashOf(join(folder, path));
    return there !== null && there !== sha256(text) && (there === "" || there !== earlier.get(path));
  });
  if (foreign.length > 0 && !force) {
    const names = foreign.slice(0, NAMED).map(({ path }) => path);
    const more = foreign.length > NAMED ? ` and ${foreign.length - NAMED} more` : "";
    throw new UsageError(
      "file-exists",
      `${folder}: would overwrite ${names.join(", ")}${more}, not from an earlier run or changed since; --force overwrites`,
    );
  }
  const kept = new Set(files.map(({ path }) => path));
  const stale = [...earlier].filter(([path, hash]) => !kept.has(path) && hashOf(join(folder, path)) === hash);
  let beside: string | null = null;
  try {
    mkdirSync(dirname(folder), { recursive: true });
    beside = mkdtempSync(join(dirname(folder), `.${basename(folder)}-`));
    for (const { path, text } of files) writeFileSync(join(beside, path), text);
    mkdirSync(folder, { recursive: true });
    for (const { path } of files) renameSync(join(beside, path), join(folder, path));
    for (const [path] of stale) rmSync(join(folder, path));
  } catch (error) {
    throw unwritable(folder, error);
  } finally {
    if (beside !== null) rmSync(beside, { recursive: true, force: true });
  }
}
