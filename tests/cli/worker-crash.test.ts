import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { ramtailor } from "./run-command.js";

/** A sweep whose threads break: the pool is ours, the file that its threads run is another. */

const state = vi.hoisted(() => ({ worker: "" }));

vi.mock(import("tinypool"), async (original) => {
  const { Tinypool, ...rest } = await original();
  class Broken extends Tinypool {
    constructor(options: ConstructorParameters<typeof Tinypool>[0]) {
      super({ ...options, filename: state.worker, execArgv: [] });
    }
  }
  return { ...rest, Tinypool: Broken, default: Broken };
});

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "crash-"));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("threads of a sweep that", () => {
  it.each([
    ["throw", "export default () => { throw new Error('out of memory'); };", "out of memory"],
    ["cannot start", "throw new Error('no such module');", "no such module"],
  ])("%s end it with exit code 3, and files stay as they were", async (_, code, message) => {
    state.worker = join(folder, `worker-${code.length}.mjs`);
    writeFileSync(state.worker, code);
    const csv = join(folder, "rows.csv");
    writeFileSync(csv, "of an earlier run\n");
    const before = readdirSync(folder);
    const words = `sweep small.yaml --vary samples.depth=512,1024 --jobs 1 --csv ${csv}`;
    const { exit, stdout, stderr } = await ramtailor(words);
    expect({ exit, stdout }).toEqual({ exit: 3, stdout: "" });
    expect(stderr).toMatch(/^ramtailor: a fault of this program: .+ \(RAMTAILOR_DEBUG=1 shows where\)\n$/);
    expect(stderr).toContain(message);
    expect(readFileSync(csv, "utf8")).toBe("of an earlier run\n");
    expect(readdirSync(folder)).toEqual(before);
  });
});
