import type { Argument, Command, Option } from "commander";

/** A word that may stand where the cursor is. */
export interface Completion {
  readonly word: string;
  /** "" where there is nothing to say. */
  readonly description: string;
}

/** What may stand where the cursor is. */
export interface Completions {
  readonly words: readonly Completion[];
  /** True: the path of a file or folder may, too. */
  readonly paths: boolean;
}

/** Names of arguments, and of what options take, that are paths. */
const PATHS = new Set(["design", "old", "new", "files", "file", "dir", "device"]);

const NOTHING: Completions = { words: [], paths: false };

/**
 * What may stand at the end of a command line, from the definitions of the commands. `line` has the words after the program's
 * name, the last of them the one at the cursor, "" where it is not begun. `devices` gives the names of devices, and is asked where
 * one may stand.
 */
export function completionsFor(
  program: Command,
  line: readonly string[],
  devices: () => readonly string[],
): Completions {
  const current = line.at(-1) ?? "";
  const before = line.slice(0, -1);
  const at = before.findIndex((word) => !word.startsWith("-"));
  if (at < 0) return starting(current, current.startsWith("-") ? optionsOf(program) : commandsOf(program));
  const command = program.commands.find((each) => each.name() === before[at]);
  if (command === undefined) return NOTHING;

  const { pending, positional, ended } = read(command, before.slice(at + 1));
  if (pending !== null) return valuesOf(pending, current, devices);
  if (!ended && current.startsWith("-")) {
    const [name = "", value] = current.split(/=(.*)/s);
    if (value === undefined) return starting(current, optionsOf(command));
    const option = command.options.find(({ long }) => long === name);
    return option === undefined ? NOTHING : valuesOf(option, value, devices);
  }
  const last = command.registeredArguments.at(-1);
  const argument = command.registeredArguments[positional] ?? (last?.variadic ? last : undefined);
  return argument === undefined ? NOTHING : valuesOf(argument, current, devices);
}

/** What the words between a command and the cursor leave open. */
function read(command: Command, words: readonly string[]) {
  let pending: Option | null = null;
  let positional = 0;
  let ended = false;
  for (const word of words) {
    if (pending !== null) pending = null;
    else if (!ended && word === "--") ended = true;
    else if (!ended && word.startsWith("-")) {
      const option = command.options.find(({ long, short }) => word === long || word === short);
      pending = option?.required ? option : null;
    } else positional += 1;
  }
  return { pending, positional, ended };
}

function starting(begun: string, all: readonly Completion[], paths = false): Completions {
  return { words: all.filter(({ word }) => word.startsWith(begun)), paths };
}

function commandsOf(program: Command): Completion[] {
  const commands = program.createHelp().visibleCommands(program);
  return commands.map((each) => ({ word: each.name(), description: each.description() }));
}

function optionsOf(command: Command): Completion[] {
  return command
    .createHelp()
    .visibleOptions(command)
    .map(({ long, short, description }) => ({ word: long ?? short ?? "", description }));
}

/** What an argument, or the argument of an option, may be. */
function valuesOf(of: Argument | Option, begun: string, devices: () => readonly string[]): Completions {
  const name = "flags" in of ? (/<([^>]+)>/.exec(of.flags)?.[1] ?? "") : of.name();
  const words = of.argChoices ?? (name === "device" ? devices() : []);
  return starting(
    begun,
    words.map((word) => ({ word, description: "" })),
    PATHS.has(name),
  );
}
