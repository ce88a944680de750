import { readFileSync } from "node:fs";
import { Command, CommanderError } from "commander";
import { addCheck } from "./check.js";
import { addCompare } from "./compare.js";
import { addCompletion } from "./completion.js";
import { addDerive } from "./derive.js";
import { addDevices } from "./devices.js";
import { addExplain } from "./explain.js";
import { report } from "./failure.js";
import { HELP_END } from "./help-text.js";
import { EXIT, type Io } from "./io.js";
import { addPack } from "./pack.js";
import { addPage } from "./page.js";
import { addReshape } from "./reshape.js";
import { addScan } from "./scan.js";
import { addSchema } from "./schema.js";
import { addSweep } from "./sweep.js";
import { type UsageCode, UsageError } from "./usage-error.js";
import { addWrap } from "./wrap.js";

/**
 * Runs one command.
 *
 * @param argv the user's arguments, without node and script
 * @returns the exit code; rejects only where the streams of `io` throw
 */
export async function run(argv: readonly string[], io: Io): Promise<number> {
  let exit: number = EXIT.done;
  const program = commands(io, (code) => {
    exit = code;
  });
  try {
    await program.parseAsync(argv, { from: "user" });
    return exit;
  } catch (error) {
    if (error instanceof CommanderError && error.exitCode === 0) return EXIT.done;
    const cause = error instanceof CommanderError ? usageErrorOf(error, program, argv) : error;
    return report(cause, io, wantsJson(argv));
  }
}

/** The program with all its commands; `finish` is given the exit code of the one that ran. */
export function commands(io: Io, finish: (exit: number) => void): Command {
  const program = new Command("ramtailor")
    .description("How the memories of a system-on-chip land on an FPGA's block RAM, and why bits are wasted.")
    .version(version(), "--version")
    .exitOverride()
    .showSuggestionAfterError(false)
    .configureOutput({
      writeOut: (text) => io.stdout.write(text),
      // Errors are told in one place, from what is thrown.
      writeErr: () => {},
      outputError: () => {},
      getOutHelpWidth: () => Math.min(io.columns ?? 100, 100),
    })
    .addHelpText("after", HELP_END);
  addPack(program, io, finish);
  addDerive(program, io, finish);
  addDevices(program, io, finish);
  addCheck(program, io, finish);
  addSweep(program, io, finish);
  addReshape(program, io, finish);
  addWrap(program, io, finish);
  addCompare(program, io, finish);
  addExplain(program, io, finish);
  addSchema(program, io, finish);
  addScan(program, io, finish);
  addPage(program, io, finish);
  addCompletion(program, io, finish);
  return program;
}

/** The version in package.json, which lies two folders up in the sources and in the build. */
function version(): string {
  const text = readFileSync(new URL("../../package.json", import.meta.url), "utf8");
  return (JSON.parse(text) as { version: string }).version;
}

/** Known before the arguments are parsed, for the case that they cannot be. */
function wantsJson(argv: readonly string[]): boolean {
  return beforeEnd(argv).includes("--json");
}

/** The words that may be options. */
function beforeEnd(argv: readonly string[]): readonly string[] {
  const end = argv.indexOf("--");
  return end < 0 ? argv : argv.slice(0, end);
}

const CODES: Readonly<Record<string, UsageCode>> = {
  "commander.missingArgument": "missing-argument",
  "commander.optionMissingArgument": "missing-argument",
  "commander.missingMandatoryOptionValue": "missing-argument",
  "commander.excessArguments": "extra-argument",
};

/** The argument parser's error in our words, with the names that there are. */
function usageErrorOf(error: CommanderError, program: Command, argv: readonly string[]): UsageError {
  const visible = program.createHelp().visibleCommands(program);
  const names = visible.map((command) => command.name()).filter((name) => name !== "help");
  if (error.code === "commander.help") {
    return new UsageError("missing-argument", `no command is given; commands: ${names.join(", ")}`);
  }
  const word = /'([^']*)'/.exec(error.message)?.[1] ?? "";
  if (error.code === "commander.unknownCommand") {
    const unknown = { word, names, what: "commands" };
    return new UsageError("unknown-command", `${JSON.stringify(word)} is no command`, unknown);
  }
  const command = program.commands.find((candidate) => argv.includes(candidate.name())) ?? program;
  const options = command.createHelp().visibleOptions(command);
  const noOption = (name: string) => {
    const long = options.flatMap((option) => option.long ?? []);
    const where = command === program ? "" : ` of ${command.name()}`;
    const unknown = { word: name, names: long, what: "options" };
    return new UsageError("unknown-option", `${JSON.stringify(name)} is no option${where}`, unknown);
  };
  if (error.code === "commander.unknownOption") return noOption(word.split("=")[0]!);
  if (error.code === "commander.missingMandatoryOptionValue") {
    // Told before options are known to be wrong, but an option that is misspelt is what is wrong.
    const flags = new Set(options.flatMap(({ short, long }) => [short, long]));
    const long = beforeEnd(argv).flatMap((each) => (each.startsWith("--") ? [each.split("=")[0]!] : []));
    const misspelt = long.find((name) => !flags.has(name));
    if (misspelt !== undefined) return noOption(misspelt);
  }
  const message = error.message.replace(/^error: /, "").replace(/'([^']*)'/g, '"$1"');
  return new UsageError(CODES[error.code] ?? "wrong-option-value", message);
}
