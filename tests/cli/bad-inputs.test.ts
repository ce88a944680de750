import { mkdirSync, mkdtempSync, rmSync, symlinkSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { changed, FORM, RULES } from "../devices/bad-device-files.js";
import { BAD_DESIGNS } from "../input/bad-designs/index.js";
import { memories } from "../input/heads.js";
import { type Ran, ramtailor } from "./run-command.js";
import { WRONG_ARGUMENTS } from "./wrong-arguments.js";

/**
 * Every bad input of the tables through the whole program: exit code 2, each error with its place, the line that it is about
 * and carets under it, and with `--json` the same as data.
 */

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "bad-inputs-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

const GOOD = memories("name: a, depth: 8, width: 8, ports: 1r1w");

interface ErrorEntry {
  readonly file: string;
  readonly line: number | null;
  readonly column: number | null;
  readonly message: string;
  readonly nearest: string | null;
}

/** The errors that a command prints, from its text, which has to agree with its JSON. */
async function errorsOf(command: string, text: string): Promise<ErrorEntry[]> {
  const plain = await ramtailor(command, { cwd: folder });
  expect({ exit: plain.exit, stdout: plain.stdout }).toEqual({ exit: 2, stdout: "" });
  const json: Ran = await ramtailor(`${command} --json`, { cwd: folder });
  expect({ exit: json.exit, stderr: json.stderr }).toEqual({ exit: 2, stderr: "" });
  const { errors } = JSON.parse(json.stdout) as { errors: ErrorEntry[] };
  const rest = plain.stderr.split("\n");
  for (const { file, line, column, message, nearest } of errors) {
    const place = [file, line, column].filter((part) => part !== null).join(":");
    expect(rest.shift()).toBe(`${place}: error: ${message}`);
    if (nearest !== null) expect(message).toContain(`did you mean "${nearest}"?`);
    if (line === null || column === null) continue;
    const own = (text.split("\n")[line - 1] ?? "").replace(/\r$/, "");
    if (own.trim() === "") continue;
    const shown = rest.shift()!.slice(4);
    const carets = rest.shift()!.slice(4);
    // biome-ignore lint/suspicious/noControlCharactersInRegex: what a terminal could act on is not shown
    expect(own.replaceAll("\t", " ").replace(/[\u0000-\u001f]/g, "?")).toContain(shown.replace(/^…|…$/g, ""));
    const at = carets.indexOf("^");
    expect(carets).toMatch(/^ *\^+$/);
    expect(shown.startsWith("…") ? shown[at] : at).toBe(shown.startsWith("…") ? own[column - 1] : column - 1);
  }
  expect(rest).toEqual([""]);
  return errors;
}

describe("a design that cannot be used", () => {
  const cases = Object.values(BAD_DESIGNS).flat();
  it.each(cases.map(([what, text, ...expected]) => ({ what, text, expected })))("$what", async (bad) => {
    writeFileSync(join(folder, "d.yaml"), bad.text);
    const errors = await errorsOf("derive d.yaml", bad.text);
    const heads = errors.map(({ line, column, message }) => {
      const place = line === null ? "" : `:${line}:${column}`;
      return `${place}: error: ${message}`;
    });
    expect(heads).toEqual(bad.expected);
  });
});

describe("a device file that cannot be used", () => {
  it.each([...FORM, ...RULES])("%j -> %j", async (from, to, code, place, message) => {
    const text = changed(from, to);
    writeFileSync(join(folder, "bad.yaml"), text);
    const errors = await errorsOf("devices bad.yaml", text);
    const found = errors.map((error) => ({ ...error, place: `${error.line}:${error.column}` }));
    expect(found).toContainEqual(
      expect.objectContaining({ code, place, file: "bad.yaml", message: expect.stringContaining(message) }),
    );
  });
});

/** Files that are no text to read: how they are made, and what is said of them. */
const FILES: readonly (readonly [what: string, make: (path: string) => void, message: string])[] = [
  ["none", () => {}, "no such file"],
  ["a folder", (path) => mkdirSync(path), "expected a file, found a directory"],
  ["a link to nothing", (path) => symlinkSync("nowhere.yaml", path), "the symbolic link leads to no file"],
  ["a link to itself", (path) => symlinkSync(path, path), "the symbolic link leads back to itself"],
  [
    "a loop of two links",
    (path) => {
      symlinkSync(`${path}.2`, path);
      symlinkSync(path, `${path}.2`);
    },
    "the symbolic link leads back to itself",
  ],
  ["a link to a folder", (path) => symlinkSync(folder, path), "expected a file, found a directory"],
  [
    "100 MB, most of them holes",
    (path) => {
      writeFileSync(path, GOOD);
      truncateSync(path, 100_000_000);
    },
    "expected at most 4 MiB of text, found more",
  ],
  [
    "a file without end",
    (path) => symlinkSync("/dev/zero", path),
    "expected at most 4 MiB of text, found more",
  ],
  ["nothing at all", (path) => symlinkSync("/dev/null", path), "expected a mapping, found nothing"],
  [
    "a file under a file",
    (path) => writeFileSync(path.replace(/\/[^/]*$/, ""), ""),
    "expected a folder on the way, found a file",
  ],
  ["a name too long", () => {}, "the path is too long"],
  [
    "text of 16 bits a character",
    (path) => writeFileSync(path, Buffer.from(`\ufeff${GOOD}`, "utf16le")),
    "expected UTF-8 text, found other bytes",
  ],
  [
    "bytes",
    (path) => writeFileSync(path, Buffer.from([0x1f, 0x8b, 8, 0])),
    "expected UTF-8 text, found other bytes",
  ],
];

describe("a file that cannot be read", () => {
  it.each(FILES.map(([what, make, message], i) => ({ what, make, message, i })))("$what", async (file) => {
    const name =
      file.what === "a name too long"
        ? `${"n".repeat(300)}.yaml`
        : `${file.i}${file.what === "a file under a file" ? "/inner" : ""}.yaml`;
    file.make(join(folder, name));
    for (const command of [`derive ${name}`, `devices ./${name}`]) {
      const errors = await errorsOf(command, "");
      expect(errors.map(({ line, message }) => ({ line, message }))).toEqual([
        { line: null, message: file.message },
      ]);
    }
  });

  it("is none where a symbolic link leads out of the folder to one that can be", async () => {
    const outside = mkdtempSync(join(tmpdir(), "outside-"));
    try {
      writeFileSync(join(outside, "real.yaml"), GOOD);
      symlinkSync(join(outside, "real.yaml"), join(folder, "link.yaml"));
      expect(await ramtailor("derive link.yaml", { cwd: folder })).toMatchObject({ exit: 0, stderr: "" });
    } finally {
      rmSync(outside, { recursive: true });
    }
  });
});

it("there are at least 150 bad inputs, all different", () => {
  const designs = Object.values(BAD_DESIGNS).flatMap((cases) => cases.map(([, text]) => text));
  const devices = [...FORM, ...RULES].map(([from, to]) => changed(from, to));
  const files = FILES.map(([what]) => what);
  const words = WRONG_ARGUMENTS.map(([line]) => `ramtailor ${line}`);
  const all = new Set([...designs, ...devices, ...files, ...words]);
  expect(all.size).toBe(designs.length + devices.length + files.length + words.length);
  expect(all.size).toBeGreaterThanOrEqual(150);
});
