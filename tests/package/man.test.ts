import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { EXAMPLES } from "../../src/cli/help-text.js";
import { EXIT } from "../../src/cli/io.js";
import { commands } from "../../src/cli/run.js";

/** The manual page as the build makes it, and as `man` shows it. */

const PAGE = fileURLToPath(new URL("../../dist/man/ramtailor.1", import.meta.url));
const silent = { write: () => {} };
const program = commands({ stdout: silent, stderr: silent, env: {}, cwd: ".", isTTY: false }, () => {});
const visible = program.commands.filter((command) => command.name() !== "complete");
const one = (text: string) => text.replace(/\s+/g, " ");

/** Wide lines, no bold, no hyphens put in. */
const shown = spawnSync("groff", ["-man", "-Tutf8", "-P-cbou", "-rLL=400n", "-rHY=0", PAGE], {
  encoding: "utf8",
});
const text = one(shown.stdout.replaceAll("‐", "-").replaceAll("−", "-"));

describe("the manual page", () => {
  it("is rendered without a warning", () => {
    const { status, stdout, stderr } = spawnSync("groff", ["-man", "-Tutf8", "-ww", "-z", PAGE], {
      encoding: "utf8",
    });
    expect({ status, stdout, stderr }).toEqual({ status: 0, stdout: "", stderr: "" });
  });

  it("is the one that package.json installs", () => {
    const { man, version } = JSON.parse(readFileSync(new URL("../../package.json", import.meta.url), "utf8"));
    expect(fileURLToPath(new URL(`../../${man[0]}`, import.meta.url))).toBe(PAGE);
    expect(readFileSync(PAGE, "utf8").split("\n")[0]).toContain(`"${version}"`);
  });

  it.each(visible.map((command) => [command.name(), command] as const))(
    "has the command %s with what it does, its arguments, options and their values",
    (name, command) => {
      const start = text.indexOf(`ramtailor ${name} [options]`);
      expect(start).toBeGreaterThan(0);
      const next = visible
        .map((other) => text.indexOf(`ramtailor ${other.name()} [options]`))
        .filter((at) => at > start);
      const part = text.slice(start, Math.min(...next, text.indexOf("OPTIONS OF THE PROGRAM")));
      expect(part).toContain(command.description());
      const help = command.createHelp();
      for (const argument of command.registeredArguments) {
        expect(part).toContain(`${argument.name()}: ${one(help.argumentDescription(argument))}`);
      }
      for (const option of command.options) {
        expect(part).toContain(`${help.optionTerm(option)}: ${one(help.optionDescription(option))}`);
        for (const word of option.argChoices ?? []) expect(part).toContain(`"${word}"`);
      }
    },
  );

  it("has the program's options, the exit codes and the examples", () => {
    const end = text.slice(text.indexOf("OPTIONS OF THE PROGRAM"));
    for (const word of ["--version:", "-h, --help:"]) expect(end).toContain(word);
    for (const code of Object.values(EXIT)) expect(end).toMatch(new RegExp(`• ${code}: \\S`));
    for (const example of EXAMPLES) expect(end).toContain(example);
  });
});
