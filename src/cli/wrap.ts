import { readFileSync, statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { type Command, Option } from "commander";
import type { Source } from "../input/diagnostics.js";
import type { Design } from "../model/index.js";
import type { Manifest, WrapProblem } from "../rtl/index.js";
import { LANGUAGES, type Language } from "../rtl/wrap/language.js";
import { EXIT, type Io } from "./io.js";
import { addPacking, type PackingOptions } from "./options.js";
import { UsageError } from "./usage-error.js";

interface WrapCommandOptions extends PackingOptions {
  readonly output: string;
  readonly language: Language;
  readonly bench?: true;
  readonly force?: true;
}

/** Largest contents file, in bytes. */
const MOST_BYTES = 64 * 2 ** 20;

/** `wrap DESIGN -o DIR`: writes modules that hold the memories as the plan lays them out. */
export function addWrap(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("wrap")
    .description("write the memories of a packed design in a hardware description language")
    .argument("<design>", "design file")
    .requiredOption("-o, --output <dir>", "folder for the files")
    .addOption(
      new Option("--language <language>", "hardware description language")
        .choices(LANGUAGES)
        .argParser(languageOf)
        .default("verilog"),
    )
    .option("--bench", "write a self-checking bench for each module")
    .option("--force", "overwrite files that are not from an earlier run, or were changed since");
  addPacking(command).action(async (path: string, options: WrapCommandOptions) => {
    const { openBoth, packRead } = await import("./plan-design.js");
    const { read, device } = openBoth(path, options, io);
    const { design, source } = read;
    const plan = await packRead(read, device, options, io);
    const { MANIFEST, wrap } = await import("../rtl/index.js");
    const { texts, problems } = contentsTexts(design, dirname(resolve(io.cwd, path)));
    const { language, bench = false, force = false } = options;
    const outcome = wrap(plan, design, device, { language, bench, contents: texts });
    if (outcome.status === "refused") return refuse(source, [...problems, ...outcome.problems]);
    if (problems.length > 0) return refuse(source, problems);
    const { writeFolder } = await import("./write-files.js");
    const folder = resolve(io.cwd, options.output);
    const { undisturbed } = await import("./undisturbed.js");
    const interrupted = await undisturbed(io, () => writeFolder(folder, outcome.files, MANIFEST, force));
    io.stdout.write(
      options.json
        ? `${JSON.stringify(outcome.manifest, null, 2)}\n`
        : summary(outcome.manifest, options.output),
    );
    const end = plan.status === "over-budget" ? EXIT.over : EXIT.done;
    finish(interrupted ? EXIT.interrupted : end);
  });
}

function languageOf(text: string): Language {
  const language = LANGUAGES.find((name) => name === text);
  if (language !== undefined) return language;
  throw new UsageError("unknown-language", `--language: ${JSON.stringify(text)} is not a language`, {
    word: text,
    names: LANGUAGES,
    what: "languages",
  });
}

/** The contents files of a design, found from its folder; one that cannot be read counts as empty from there on. */
function contentsTexts(design: Design, folder: string) {
  const texts = new Map<string, string>();
  const problems: WrapProblem[] = [];
  for (const { name, contents, source } of design.requests) {
    if (contents === null || texts.has(contents)) continue;
    try {
      const full = resolve(folder, contents);
      if (statSync(full).size > MOST_BYTES) throw new Error("expected at most 64 MiB, found more");
      texts.set(contents, readFileSync(full, "utf8"));
    } catch (error) {
      const message = `contents: ${contents} cannot be read: ${(error as Error).message}`;
      problems.push({ memory: name, message, source });
      texts.set(contents, "");
    }
  }
  return { texts, problems };
}

async function refuse(source: Source, problems: readonly WrapProblem[]): Promise<never> {
  const { InputError } = await import("../input/diagnostics.js");
  throw new InputError(
    source,
    problems.map(({ memory, message, source: range }) => ({
      code: "cannot-wrap" as const,
      severity: "error" as const,
      message: `${memory}: ${message}`,
      range,
      file: source.file,
    })),
  );
}

/** One line a module, and where the files are. */
function summary({ design, device, modules, files }: Manifest, folder: string): string {
  const lines = modules.map(({ module, memories, instances }) => {
    const times = instances.reduce((sum, { count }) => sum + count, 0);
    const names = memories.map(({ memory }) => memory);
    return `${module}: ${names.join(", ")}${times > 1 ? `; ${times} times` : ""}`;
  });
  const end = `${files.length + 1} files in ${folder}; ramtailor-wrap.json there says which instance is served by which module.`;
  return `${design} on ${device}: ${modules.length} modules\n\n${lines.join("\n")}\n\n${end}\n`;
}
