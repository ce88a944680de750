import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { loadDesign, readSource } from "../../src/input/index.js";
import { inputError } from "../support/input-error.js";
import { memories } from "./heads.js";

let folder = "";
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "ramtailor-input-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** Path of a new file with these contents. */
function file(name: string, contents: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, contents);
  return path;
}

test("a good file gives the design and its text", () => {
  const text = memories("name: a, depth: 8, width: 8, ports: 1r");
  const path = file("good.yaml", text);
  const { design, source } = loadDesign(path);
  expect(design.requests.map((r) => r.name)).toEqual(["a"]);
  expect(source).toEqual({ file: path, text });
});

test("a bad file throws all diagnostics, with the text to print them", () => {
  const text = memories("name: a, depth: 0, width: 0, ports: 1r");
  const path = file("bad.yaml", text);
  const error = inputError(() => loadDesign(path));
  expect(error.diagnostics.map((d) => d.message)).toEqual([
    "memories[0].depth: expected at least 1, found 0",
    "memories[0].width: expected at least 1, found 0",
  ]);
  expect(error.source).toEqual({ file: path, text });
  expect(error.message).toBe(`${path}: memories[0].depth: expected at least 1, found 0`);
});

test("files that are no text", () => {
  const cases = [
    [join(folder, "missing.yaml"), "unreadable-file", "no such file"],
    [folder, "unreadable-file", "expected a file, found a directory"],
    [
      file("bytes.yaml", Uint8Array.of(0x61, 0xff)),
      "unreadable-file",
      "expected UTF-8 text, found other bytes",
    ],
    [
      file("long.yaml", "#".repeat(4 * 1024 * 1024 + 1)),
      "over-limit",
      "expected at most 4 MiB of text, found more",
    ],
  ] as const;
  for (const [path, code, message] of cases) {
    const { diagnostics } = inputError(() => readSource(path));
    expect(diagnostics).toEqual([{ code, severity: "error", message, range: null, file: path }]);
  }
});

test("a file of just 4 MiB is read, and a byte order mark is no text", () => {
  expect(readSource(file("full.yaml", "#".repeat(4 * 1024 * 1024))).text).toHaveLength(4 * 1024 * 1024);
  expect(readSource(file("mark.yaml", "\ufeffa: 1")).text).toBe("a: 1");
});
