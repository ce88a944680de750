import { resolve } from "node:path";
import { type Command, Option } from "commander";
import type { Reshaped } from "../advise/index.js";
import type { DesignEdit, DesignRead } from "../input/index.js";
import { EXIT, type Io, textOptions } from "./io.js";
import { addPacking, type PackingOptions, wrong } from "./options.js";
import { undisturbed } from "./undisturbed.js";
import { UsageError } from "./usage-error.js";
import { writeWhole } from "./write-file.js";

interface ReshapeCommandOptions extends PackingOptions {
  readonly allow: readonly ("size" | "behaviour")[];
  readonly keep: readonly string[];
  readonly best?: number;
  readonly steps: number;
  readonly write?: string;
  readonly apply?: number;
  readonly force?: true;
}

const ALLOWED = ["size", "behaviour"] as const;
const MOST = { best: 1000, steps: 50, apply: 100_000 };

/** `reshape DESIGN`: lists changes that save blocks, and writes a design with some made. */
export function addReshape(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("reshape")
    .description("list changes of a design that would save blocks or give capacity for nothing")
    .argument("<design>", "design file")
    .addOption(
      new Option("--allow <effect>", "also changes of the architecture (may be repeated)")
        .choices(ALLOWED)
        .argParser(allowOf)
        .default([], "none"),
    )
    .option("--keep <path>", "what may not change, for example l1d or l1d.ways (may be repeated)", keepOf, [])
    .option("--best <n>", "search for the best combination, n kept after each step", wholeOf("best"))
    .option("--steps <n>", "most changes in a combination", wholeOf("steps"), 8)
    .option("--write <file>", "write the design with the best combination made, or the row of --apply")
    .option("--apply <row>", "the row to make", wholeOf("apply"))
    .option("--force", "overwrite a file that exists");
  // The empty list is no default that help should print.
  command.options.find((each) => each.attributeName() === "keep")!.defaultValueDescription = "none";
  addPacking(command).action(async (path: string, options: ReshapeCommandOptions) => {
    checkOptions(options);
    const { openBoth, packing } = await import("./plan-design.js");
    const { read, device } = openBoth(path, options, io);
    const { reshape, UnknownPathError } = await import("../advise/index.js");
    const { engine, deadline, allow, keep, best, steps } = options;
    const search = best === undefined ? null : { beam: best, steps };
    const settings = { engine, deadlineMs: deadline * 1000, allow, keep, best: search };
    const result = await packing(read, io, (onEngineFailure) =>
      reshape(read, device, { ...settings, onEngineFailure }),
    ).catch((error: unknown) => {
      if (error instanceof UnknownPathError) throw new UsageError("unknown-path", `--keep: ${error.message}`);
      throw error;
    });
    let interrupted = false;
    if (options.write !== undefined) {
      interrupted = await write(options.write, read, chosen(result, options), options, io);
    }
    const { reshapeJson, reshapeTable } = await import("../report/reshape.js");
    io.stdout.write(options.json ? reshapeJson(result) : reshapeTable(result, textOptions(io)));
    if (options.write !== undefined && !options.json) io.stdout.write(`\nWritten: ${options.write}\n`);
    // What was asked for counts: the row that was written, the best combination, or the design as it stands.
    const end =
      options.apply === undefined
        ? (result.best?.figures ?? result.before)
        : rowNamed(result, options.apply).after;
    const exit = end.status === "over-budget" ? EXIT.over : EXIT.done;
    finish(interrupted ? EXIT.interrupted : exit);
  });
}

/** Options that only make sense together. */
function checkOptions({ write, apply, best }: ReshapeCommandOptions): void {
  const refuse = (message: string): never => {
    throw new UsageError("missing-argument", message);
  };
  if (write === undefined && apply !== undefined) refuse("--apply: give --write FILE beside it");
  if (write !== undefined && apply === undefined && best === undefined) {
    refuse("--write: give --best N or --apply ROW beside it, which say what to write");
  }
}

/** The edits to write: those of the row that was named, otherwise of the best combination. */
function chosen(result: Reshaped, { apply }: ReshapeCommandOptions): readonly DesignEdit[] {
  if (apply === undefined) return result.best?.edits ?? [];
  return rowNamed(result, apply).edits;
}

function rowNamed({ rows }: Reshaped, number: number): Reshaped["rows"][number] {
  const row = rows.find((each) => each.number === number);
  if (row !== undefined) return row;
  const range = rows.length === 0 ? "there is no row" : `rows go from 1 to ${rows.length}`;
  throw new UsageError("wrong-option-value", `--apply: no row ${number}; ${range}`);
}

/** Writes the design with the edits made; whether it was interrupted meanwhile. */
async function write(
  file: string,
  read: DesignRead,
  edits: readonly DesignEdit[],
  { force }: ReshapeCommandOptions,
  io: Io,
): Promise<boolean> {
  const { editDesign } = await import("../input/edit-design.js");
  const edited = editDesign(read.source.text, edits);
  if (!edited.ok) throw new Error(`edits that were packed cannot be made: ${edited.problem}`);
  return undisturbed(io, () => writeWhole(resolve(io.cwd, file), edited.text, force === true, file));
}

function allowOf(text: string, before: readonly ("size" | "behaviour")[]): ("size" | "behaviour")[] {
  const effect = ALLOWED.find((name) => name === text);
  if (effect === undefined) throw wrong("--allow", text, ALLOWED.join(" or "));
  return [...before.filter((other) => other !== effect), effect];
}

function keepOf(text: string, before: readonly string[]): string[] {
  return [...before, text];
}

function wholeOf(option: keyof typeof MOST): (text: string) => number {
  return (text) => {
    const value = /^\d{1,6}$/.test(text) ? Number(text) : 0;
    if (value >= 1 && value <= MOST[option]) return value;
    throw wrong(`--${option}`, text, `a whole number from 1 to ${MOST[option]}`);
  };
}
