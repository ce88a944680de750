import { statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import type { Command } from "commander";
import type { Source } from "../input/index.js";
import { counted } from "../model/words.js";
import { asTyped } from "./as-typed.js";
import { EXIT, type Io } from "./io.js";
import { addJson } from "./options.js";
import { undisturbed } from "./undisturbed.js";
import { UsageError } from "./usage-error.js";
import { writeWhole } from "./write-file.js";

interface ScanCommandOptions {
  readonly top?: string;
  readonly output?: string;
  readonly include: readonly string[];
  readonly define: ReadonlyMap<string, string>;
  readonly registersBelow?: number;
  readonly force?: true;
  readonly json?: true;
}

/** Largest source file, in bytes. */
const MOST_BYTES = 64 * 2 ** 20;

/** `scan FILES...`: writes a design file with the memories of hardware sources. */
export function addScan(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("scan")
    .description("find the memories in Verilog or SystemVerilog sources and write a design file")
    .argument("<files...>", "source files")
    .option("--top <module>", "module that the hierarchy starts from (default: the one that is in no other)")
    .option("-o, --output <file>", "design file to write (default: standard output)")
    .option("-I, --include <dir>", "folder to look for `include files in (may be repeated)", foldersOf, [])
    .option("-D, --define <name=value>", "macro to define (may be repeated)", definesOf, new Map())
    .option(
      "--registers-below <bits>",
      "most bits of an array that counts as registers (default: 512)",
      bitsOf,
    )
    .option("--force", "overwrite the design file");
  for (const name of ["include", "define"]) {
    command.options.find((option) => option.attributeName() === name)!.defaultValueDescription = "none";
  }
  addJson(command).action(async (files: readonly string[], options: ScanCommandOptions) => {
    const { output, force = false } = options;
    const { result, text, warnings } = await scanned(files, options, io);
    io.stderr.write(warnings);
    const interrupted =
      output !== undefined &&
      (await undisturbed(io, () => writeWhole(resolve(io.cwd, output), text, force, output)));
    if (options.json) io.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
    else if (output === undefined) io.stdout.write(text);
    else {
      const { memories, registers, wires, unsized, questions } = result;
      const left = registers.length + wires.length + unsized.length;
      const asked =
        questions.length === 0 ? "no questions" : `${counted(questions.length, "question")} at its head`;
      const found = counted(memories.length, "memory", "memories");
      io.stdout.write(`${output}: ${found}, ${counted(left, "array")} left out, ${asked}\n`);
    }
    finish(interrupted ? EXIT.interrupted : EXIT.done);
  });
}

async function scanned(files: readonly string[], options: ScanCommandOptions, io: Io) {
  const { readSource } = await import("../input/read-source.js");
  const { printDiagnostics } = await import("../input/print.js");
  const { designText, NoGrammarError, scan } = await import("../scan/index.js");
  const open = (path: string): Source => ({
    ...asTyped(path, io, (full) => readSource(full, MOST_BYTES)),
    file: path,
  });
  const sources = files.map(open);
  const isFile = (path: string) =>
    statSync(resolve(io.cwd, path), { throwIfNoEntry: false })?.isFile() === true;
  const include = (name: string, from: Source): Source | null => {
    const places = [dirname(from.file), ...options.include].map((folder) =>
      folder === "." ? name : `${folder}/${name}`,
    );
    const found = [...places, name].find(isFile);
    return found === undefined ? null : open(found);
  };
  const { top = null, define: defines, registersBelow } = options;
  const outcome = await scan(sources, {
    top,
    defines,
    include,
    ...(registersBelow === undefined ? {} : { registersBelow }),
  }).catch((error: unknown) => {
    if (error instanceof NoGrammarError) throw new UsageError("no-grammar", error.message);
    throw error;
  });
  if (outcome.status === "unknown-define") {
    const { word, names } = outcome;
    const message = `-D: no source mentions the macro ${JSON.stringify(word)}`;
    throw new UsageError("unknown-define", message, { word, names, what: "macros" });
  }
  const warnings = outcome.notes
    .map(({ source, diagnostic }) => printDiagnostics(source, [diagnostic]))
    .join("");
  if (outcome.status === "no-top") {
    const { word, names } = outcome;
    if (word !== null) {
      const message = `--top: no source has a module ${JSON.stringify(word)}`;
      throw new UsageError("unknown-top", message, { word, names, what: "modules" });
    }
    if (names.length === 0) throw new UsageError("unknown-top", "the sources have no module");
    throw new UsageError(
      "unknown-top",
      `expected one module that is in no other; give --top: ${names.slice(0, 20).join(", ")}`,
    );
  }
  return { result: outcome.result, text: designText(outcome.result), warnings };
}

function foldersOf(folder: string, before: readonly string[]): readonly string[] {
  return [...before, folder.replace(/(.)\/+$/, "$1")];
}

function definesOf(text: string, before: ReadonlyMap<string, string>): ReadonlyMap<string, string> {
  const read = /^([A-Za-z_][\w$]*)(?:=(.*))?$/s.exec(text);
  if (read === null) {
    throw new UsageError(
      "wrong-option-value",
      `-D: expected NAME or NAME=VALUE, found ${JSON.stringify(text)}`,
    );
  }
  return new Map(before).set(read[1]!, read[2] ?? "1");
}

function bitsOf(text: string): number {
  if (/^\d{1,12}$/.test(text)) return Number(text);
  throw new UsageError(
    "wrong-option-value",
    `--registers-below: expected a whole number of bits, found ${JSON.stringify(text)}`,
  );
}
