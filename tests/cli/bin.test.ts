import { execFile, spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";

/** The built program; `npm test` builds it first. */
const BIN = fileURLToPath(new URL("../../dist/cli/bin.js", import.meta.url));
const SMALL = fileURLToPath(new URL("fixtures/small.yaml", import.meta.url));

describe("the program", () => {
  it("prints to stdout and exits 0", async () => {
    const { stdout, stderr } = await promisify(execFile)(process.execPath, [BIN, "derive", SMALL]);
    expect(stdout).toContain("small: 3 memories");
    expect(stderr).toBe("");
  });

  it("exits with the code of the command", async () => {
    await expect(promisify(execFile)(process.execPath, [BIN, "nothing"])).rejects.toMatchObject({
      code: 2,
      stdout: "",
      stderr: expect.stringContaining('"nothing" is no command'),
    });
  });

  it("ends quietly where the reader has closed the pipe", async () => {
    const child = spawn(process.execPath, [BIN, "devices", "xczu7ev", "--json"], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    let stderr = "";
    child.stderr.on("data", (data) => {
      stderr += data;
    });
    child.stdout.destroy();
    const exit = await new Promise((resolve) => child.on("close", resolve));
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
  });
});
