import { spawnSync } from "node:child_process";
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { commands } from "../../src/cli/run.js";
import { importedBy } from "../package/loaded-by.js";
import { ramtailor } from "./run-command.js";

const DIST = fileURLToPath(new URL("../../dist/cli/", import.meta.url));
const silent = { write: () => {} };
const program = commands({ stdout: silent, stderr: silent, env: {}, cwd: ".", isTTY: false }, () => {});
const visible = program.commands.filter((command) => command.name() !== "complete");

/** The words that are offered at the end of a line, and whether paths are, too. */
async function offered(line: string): Promise<{ words: string[]; paths: boolean }> {
  const { exit, stdout, stderr } = await ramtailor(`complete -- ${line}`);
  expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
  const lines = stdout.trimEnd().split("\n");
  const end = lines.pop();
  expect([":0", ":4"]).toContain(end);
  return { words: lines.map((each) => each.split("\t")[0]!), paths: end === ":0" };
}

describe("what is offered", () => {
  it("first: the commands, and the program's options", async () => {
    const names = [...visible.map((command) => command.name()), "help"];
    expect(await offered("")).toEqual({ words: names, paths: false });
    expect(await offered("-")).toEqual({ words: ["--version", "--help"], paths: false });
  });

  it.each(visible.map((command) => [command.name(), command] as const))(
    "after %s: its options, the values of those that have some, and of its arguments",
    async (name, command) => {
      const options = command.options.map(({ long }) => long);
      expect((await offered(`${name} --`)).words).toEqual([...options, "--help"]);
      for (const { long, argChoices } of command.options) {
        if (argChoices === undefined) continue;
        expect(await offered(`${name} ${long} `)).toEqual({ words: argChoices, paths: false });
        expect((await offered(`${name} ${long}=`)).words).toEqual(argChoices);
      }
      const [first] = command.registeredArguments;
      if (first?.argChoices !== undefined) {
        expect(await offered(`${name} `)).toEqual({ words: first.argChoices, paths: false });
      }
    },
  );

  it.each([
    ["wra", ["wrap"], false],
    ["pakc ", [], false],
    ["pack ", [], true],
    ["pack soc.yaml ", [], false],
    ["pack --map ", [], true],
    ["pack --engine highs ", [], true],
    ["pack --engine h", ["highs"], false],
    ["pack --engine=j", ["javascript-lp-solver"], false],
    ["pack --nothing=j", [], false],
    ["pack --deadline ", [], false],
    ["pack --device ecp5-8", ["ecp5-85f"], true],
    ["pack soc.yaml --device=xcz", ["xczu7ev"], true],
    ["pack -- --", [], true],
    ["devices up", ["up5k"], true],
    ["wrap soc.yaml -o ", [], true],
    ["wrap -o rtl --lang", ["--language"], false],
    ["scan a.v b.v ", [], true],
    ["scan -I include -D WIDE a.v ", [], true],
    ["scan -D ", [], false],
    ["compare old.json ", [], true],
    ["explain soc.yaml l1", [], false],
    ["reshape soc.yaml --allow b", ["behaviour"], false],
    ["schema d", ["design", "device"], false],
    ["completion f", ["fish"], false],
  ])("at the end of %j: %j, paths %j", async (line, words, paths) => {
    expect(await offered(line)).toEqual({ words, paths });
  });
});

it("a shell without a script is told, with those that have one", async () => {
  expect((await ramtailor("completion fsih")).stderr).toBe(
    'error: "fsih" is no shell with a script; did you mean "fish"?\n',
  );
});

it("no other command loads the scripts", () => {
  const scripts = (...args: string[]) => importedBy(...args).filter((url) => url.includes("@bomb.sh/tab"));
  expect(scripts("completion", "bash")).not.toEqual([]);
  expect(scripts("--version")).toEqual([]);
  expect(scripts("pack", "designs/weather-mast.yaml")).toEqual([]);
});

describe("in a real shell", () => {
  const folder = mkdtempSync(join(tmpdir(), "completion-"));
  afterAll(() => rmSync(folder, { recursive: true }));
  const env = { ...process.env, PATH: `${folder}:${process.env.PATH}`, HOME: folder, TERM: "dumb" };

  beforeAll(async () => {
    // The built program where it completes; elsewhere it tells its arguments.
    const stub = `#!/bin/sh\n[ "$1" = complete ] && exec "${process.execPath}" "${DIST}bin.js" "$@"\nprintf 'GIVEN:%s\\n' "$*"\n`;
    writeFileSync(join(folder, "ramtailor"), stub);
    chmodSync(join(folder, "ramtailor"), 0o755);
    writeFileSync(join(folder, "soc.yaml"), "");
    for (const shell of ["bash", "fish", "zsh"]) {
      writeFileSync(join(folder, `script.${shell}`), (await ramtailor(`completion ${shell}`)).stdout);
    }
  });

  it("bash completes commands, options, values and files at the tab key", () => {
    const typed = [
      ". /usr/share/bash-completion/bash_completion",
      // Read twice, as by a start-up file that is read again.
      ". ./script.bash",
      ". ./script.bash",
      "ramtailor wra\t --lang\tsys\t so\t --engine hi\t -o x",
      "ramtailor page so\t --dev\tecp5-2\t",
      "ramtailor schema pl\t",
      "exit\n",
    ];
    // A terminal, which bash reads keys from.
    const { stdout } = spawnSync("script", ["-qec", "bash --norc --noprofile -i", "/dev/null"], {
      cwd: folder,
      env,
      input: typed.join("\n"),
      encoding: "utf8",
      timeout: 60_000,
    });
    const given = [...stdout.matchAll(/^GIVEN:(.*)\r$/gm)].map(([, words]) => words);
    expect(given, stdout).toEqual([
      "wrap --language systemverilog soc.yaml --engine highs -o x",
      "page soc.yaml --device ecp5-25f",
      "schema plan",
    ]);
    expect(stdout).not.toMatch(/readonly|not found/);
  });

  it("fish completes the same", () => {
    const lines = [
      "ramtailor wra",
      "ramtailor pack --eng",
      "ramtailor wrap --language s",
      "ramtailor pack --engine=h",
      "ramtailor pack s",
    ];
    const asked = lines.map((line) => `complete -C "${line}"`).join("; ");
    const { stdout, stderr } = spawnSync("fish", ["--no-config", "-c", `source script.fish; ${asked}`], {
      cwd: folder,
      env,
      encoding: "utf8",
    });
    expect(stderr).toBe("");
    expect(
      stdout
        .trimEnd()
        .split("\n")
        .map((line) => line.split("\t")[0]),
    ).toEqual([
      "wrap",
      "--engine",
      "systemverilog",
      "--engine=highs",
      "script.bash",
      "script.fish",
      "script.zsh",
      "soc.yaml",
    ]);
  });
});
