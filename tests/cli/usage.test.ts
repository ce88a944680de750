import { describe, expect, it } from "vitest";
import { ramtailor } from "./run-command.js";
import { WRONG_ARGUMENTS } from "./wrong-arguments.js";

describe("arguments that cannot be used", () => {
  it.each(WRONG_ARGUMENTS)("%s", async (words, text, code, nearest) => {
    expect(await ramtailor(words)).toEqual({ exit: 2, stdout: "", stderr: `error: ${text}\n` });
    const { exit, stdout, stderr } = await ramtailor(`${words} --json`.trim());
    // Without a command, and after an option that lacks its argument, `--json` is itself part of the mistake.
    if (words === "" || words.endsWith("--device")) return;
    expect(exit).toBe(2);
    expect(stderr).toBe("");
    expect(JSON.parse(stdout)).toEqual({
      format: "ramtailor-error/1",
      errors: [{ file: null, line: null, column: null, code, message: text, nearest }],
    });
  });
});

describe("help and version", () => {
  it("name every command and show examples and exit codes", async () => {
    const { exit, stdout, stderr } = await ramtailor("--help");
    expect(exit).toBe(0);
    expect(stderr).toBe("");
    for (const command of ["pack", "derive", "devices", "check", "sweep", "compare", "explain", "schema"]) {
      expect(stdout).toMatch(new RegExp(`^  ${command} `, "m"));
      expect(stdout).toContain(`  ramtailor ${command} `);
    }
    expect(stdout).toContain("Exit codes:\n  0    done");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("exist for each command", async () => {
    const { exit, stdout } = await ramtailor("check --help");
    expect(exit).toBe(0);
    expect(stdout).toContain("--max-blocks <pool=n>");
  });

  it("print the version of the package", async () => {
    const { version } = (await import("../../package.json", { with: { type: "json" } })).default;
    expect(await ramtailor("--version")).toEqual({ exit: 0, stdout: `${version}\n`, stderr: "" });
  });
});
