import { spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { expect } from "vitest";

const path = (name: string) => fileURLToPath(new URL(name, import.meta.url));

/** The files that a run of the built command line loads, and what of Node it loads beyond a bare start. It has to end well. */
export function loadedBy(...args: string[]): {
  readonly files: readonly string[];
  readonly node: readonly string[];
} {
  return told(["--require", path("print-loaded.cjs")], args);
}

/** The URLs of the modules that the built program imports, besides what it requires. It has to end well. */
export function importedBy(...args: string[]): readonly string[] {
  return told(["--import", new URL("print-imports.mjs", import.meta.url).href], args);
}

/** What a hook of Node tells on stderr at the end of a run of the built program. */
function told(hook: readonly string[], args: readonly string[]) {
  const { status, stderr } = spawnSync(process.execPath, [...hook, path("../../dist/cli/bin.js"), ...args], {
    encoding: "utf8",
  });
  expect(status, stderr).toBe(0);
  return JSON.parse(stderr);
}
