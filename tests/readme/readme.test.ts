import { execFile } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { z } from "zod";
import { EXIT } from "../../src/cli/io.js";
import { designSchema } from "../../src/input/design-schema.js";
import { commonFields, STRUCTURES } from "../../src/structures/index.js";
import { ramtailor } from "../cli/run-command.js";
import { commandsIn, filesIn, README, withOutputs } from "./blocks.js";
import { bare, keysOf, variantsOf } from "./schema-keys.js";
import { rowsUnder, ticked } from "./tables.js";

const readme = readFileSync(README, "utf8");

/** Runs a README command: ramtailor from the sources, a script on the built program as an installed library. */
async function runCommand(command: string, folder: string): Promise<string> {
  const words = /^npx ramtailor (.+)$/.exec(command)?.[1];
  if (words !== undefined) {
    const { exit, stdout, stderr } = await ramtailor(words, { cwd: folder });
    expect({ exit, stderr }, command).toEqual({ exit: 0, stderr: "" });
    return stdout;
  }
  const script = /^node (\S+)$/.exec(command)?.[1];
  if (script === undefined) throw new Error(`no way to run ${JSON.stringify(command)}`);
  return (await promisify(execFile)(process.execPath, [script], { cwd: folder })).stdout;
}

describe("the README's commands", () => {
  it("print what it shows (npm run readme writes it anew)", async () => {
    expect(await withOutputs(readme, runCommand)).toBe(readme);
  });

  it.each(["highs", "javascript-lp-solver"])("pack the example in the same way with %s", async (engine) => {
    const packed = (command: string) => command.startsWith("npx ramtailor pack");
    const run = (command: string, folder: string) =>
      runCommand(packed(command) ? `${command} --engine ${engine}` : command, folder);
    expect(await withOutputs(readme, run)).toBe(readme);
  });

  it("are the example, the library and the devices", () => {
    expect(commandsIn(readme)).toEqual([
      "npx ramtailor pack receiver.yaml",
      "node waste.mjs",
      "npx ramtailor devices",
    ]);
    expect([...filesIn(readme).keys()]).toEqual(["receiver.yaml", "waste.mjs"]);
  });

  it("start with the two that do all", () => {
    const shell = [...readme.matchAll(/^```sh\n(.*)\n```$/gm)].map(([, command]) => command);
    expect(shell).toEqual([
      "npm ci && npx ramtailor pack designs/dish-controller.yaml",
      "./.ci/setup && npm ci && npm test",
    ]);
    const folder = new URL("../../designs/", import.meta.url);
    for (const file of readdirSync(folder)) expect(readme).toContain(`\`${file.replace(".yaml", "")}\``);
  });
});

describe("the README's tables of the design form", () => {
  const common = Object.keys(commonFields);
  const variants = STRUCTURES.flatMap(({ kind, schema }) =>
    variantsOf(schema).map(({ scheme, keys }) => ({ name: scheme ? `${kind}, ${scheme}` : kind, keys })),
  );
  const own = (keys: readonly string[]) =>
    keys.filter((key) => !["kind", "scheme", ...common].includes(key)).sort();

  it("name the kinds of structures with all their keys, those that must be there apart", () => {
    const told = rowsUnder(readme, ["kind", "needs", "may have"]).map(
      ([kind = "", needs = "", may = ""]) => ({
        name: ticked(kind).join(", "),
        required: ticked(needs).sort(),
        optional: ticked(may).sort(),
      }),
    );
    const real = variants.map(({ name, keys }) => ({
      name,
      required: own(keys.required),
      optional: own(keys.optional),
    }));
    expect(told).toEqual(real);
  });

  it("name what every structure may have", () => {
    const sentence = /^A structure has .*$/m.exec(readme)?.[0] ?? "";
    expect(new Set(ticked(sentence))).toEqual(new Set(["kind", ...common]));
  });

  it("name the keys of a design and of a memory, and which must be there", () => {
    const memories = bare(designSchema.shape.memories);
    if (!(memories instanceof z.ZodArray)) throw new Error("memories are no list");
    for (const [nth, schema] of [designSchema, memories.element].entries()) {
      const rows = rowsUnder(readme, ["key", "meaning", "left out"], nth);
      const names = (list: readonly string[][]) => list.flatMap(([key = ""]) => ticked(key)).sort();
      const { required, optional } = keysOf(schema);
      expect(names(rows)).toEqual([...required, ...optional].sort());
      // The device is optional in the file alone: the table says what names it then.
      expect(names(rows.filter((row) => row[2] === "must be there"))).toEqual([...required].sort());
    }
  });

  it("name the words that keys take", () => {
    const real = new Map<string, string[]>();
    for (const { keys } of variants) {
      for (const [key, words] of keys.words) real.set(key, [...words].sort());
    }
    const told = rowsUnder(readme, ["key", "words"]).map(
      ([key = "", words = ""]) => [ticked(key).join(), ticked(words).sort()] as const,
    );
    expect(Object.fromEntries(told)).toEqual(Object.fromEntries(real));
  });
});

describe("the README's tables of the commands", () => {
  it("name every command with every option", async () => {
    const told = rowsUnder(readme, ["command", "what it does", "options"]);
    const help = (await ramtailor("--help")).stdout;
    const commands = [...help.matchAll(/^ {2}([a-z]+) \[options\]/gm)].map(([, name]) => name!);
    expect(told.map(([command = ""]) => ticked(command)[0]!.split(" ")[0]).sort()).toEqual(commands.sort());
    for (const [command = "", , options = ""] of told) {
      const { stdout } = await ramtailor(`${ticked(command)[0]!.split(" ")[0]} --help`);
      const listed = [...stdout.matchAll(/^ {2}(?:-\w, )?(--[a-z-]+)/gm)].map(([, option]) => option!);
      expect(ticked(options).sort(), command).toEqual(listed.filter((name) => name !== "--help").sort());
    }
  });

  it("name every exit code", () => {
    const told = rowsUnder(readme, ["exit code", "meaning"]).map(([code]) => Number(code));
    expect(told).toEqual(Object.values(EXIT));
  });

  it("name every JSON format, and the keys of a plan", async () => {
    const text = /^With `--json`.*?\n\n/ms.exec(readme)?.[0] ?? "";
    const words = ticked(text);
    const plan = JSON.parse((await ramtailor("pack small.yaml --json")).stdout) as Record<string, unknown>;
    const folder = mkdtempSync(join(tmpdir(), "ramtailor-readme-"));
    const others = [
      "derive small.yaml",
      "devices",
      "devices up5k",
      "check small.yaml",
      "pack none.yaml",
      "sweep small.yaml --vary samples.depth=512",
      "reshape small.yaml",
      `wrap small.yaml -o ${folder}`,
      "compare small.yaml small.yaml",
      "explain small.yaml window",
      "scan rtl/store.v",
      `page small.yaml -o ${join(folder, "page.html")}`,
    ];
    const formats = [plan.format];
    for (const command of others) {
      const json = JSON.parse((await ramtailor(`${command} --json`)).stdout) as { format: string };
      formats.push(json.format);
    }
    rmSync(folder, { recursive: true });
    expect(words.filter((word) => word.startsWith("ramtailor-")).sort()).toEqual([...formats].sort());
    const list = /A plan has (.*?);/s.exec(text)?.[1] ?? "";
    expect(ticked(list).filter((word) => word !== "repeat")).toEqual(Object.keys(plan));
  });
});
