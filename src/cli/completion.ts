import { Argument, type Command } from "commander";
import { completionsFor } from "./completions.js";
import { EXIT, type Io } from "./io.js";
import { addJson } from "./options.js";
import { UsageError } from "./usage-error.js";

const SHELLS = ["bash", "fish", "zsh"] as const;

/** What the scripts are told of a path: that the shell may put in those that there are, or that none may stand there. */
const DIRECTIVES = { paths: 0, noPaths: 4 };

/**
 * `completion SHELL`: prints a script with which a shell completes commands, options and their values. The script asks the hidden
 * command `complete` each time, which knows them from the definitions of the commands.
 */
export function addCompletion(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("completion")
    .description("print a script with which a shell completes commands, options and their values")
    .addArgument(new Argument("<shell>", "shell to complete in").choices(SHELLS).argParser((shell) => shell));
  addJson(command).action(async (name: string) => {
    const shell = SHELLS.find((each) => each === name);
    if (shell === undefined) {
      const unknown = { word: name, names: SHELLS, what: "shells" };
      throw new UsageError("unknown-name", `${JSON.stringify(name)} is no shell with a script`, unknown);
    }
    const { script } = await import("@bomb.sh/tab");
    const text = printed(() => script(shell, program.name(), program.name()));
    io.stdout.write(shell === "bash" ? forBash(text, program.name()) : text);
    finish(EXIT.done);
  });

  program
    .command("complete", { hidden: true })
    .argument("[words...]")
    .action(async (words: readonly string[]) => {
      const { listDevices } = await import("../input/find-device.js");
      const devices = () => listDevices().map((device) => device.name);
      const found = completionsFor(program, words, devices);
      const lines = found.words.map(({ word, description }) => `${word}\t${description}\n`);
      const end = found.paths ? DIRECTIVES.paths : DIRECTIVES.noPaths;
      io.stdout.write(`${lines.join("")}:${end}\n`);
      finish(EXIT.done);
    });
}

/** What a library prints, which has no other way to give it. */
function printed(print: () => void): string {
  const { log } = console;
  let text = "";
  console.log = (line: string) => {
    text += `${line}\n`;
  };
  try {
    print();
  } finally {
    console.log = log;
  }
  return text;
}

/** The script may be read twice, and where it has nothing to say, paths are completed. */
function forBash(text: string, program: string): string {
  const register = new RegExp(`^complete -F (\\S+) ${program}$`, "m");
  return text.replace(/^readonly /gm, "").replace(register, `complete -o default -F $1 ${program}`);
}
