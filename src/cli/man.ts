import type { Command, Option } from "commander";
import { EXAMPLES, EXIT_CODES } from "./help-text.js";

/**
 * The manual page as Markdown, in the form that marked-man makes roff of: all of it from the definitions of the commands, so that
 * nothing is said twice.
 */
export function manMarkdown(program: Command): string {
  const help = program.createHelp();
  const commands = help.visibleCommands(program).filter((command) => command.name() !== "help");
  return `${[
    `# ${program.name()}(1) -- ${text(program.description().replace(/\.$/, ""))}`,
    "## SYNOPSIS",
    `**${program.name()}** *command* [*options*]`,
    "## COMMANDS",
    ...commands.flatMap((command) => commandParts(command, program.name())),
    "## OPTIONS OF THE PROGRAM",
    optionList(program, () => true),
    "## EXIT STATUS",
    ...EXIT_CODES.map(([code, meaning]) => `* **${code}**:\n  ${text(meaning)}`),
    "## EXAMPLES",
    ...EXAMPLES.map((line) => `    ${line}`),
  ].join("\n\n")}\n`;
}

function commandParts(command: Command, name: string): string[] {
  const help = command.createHelp();
  const args = help.visibleArguments(command);
  return [
    `### ${name} ${text(help.subcommandTerm(command))}`,
    `${text(help.commandDescription(command))}.`,
    ...args.map((each) => `* *${text(each.name())}*:\n  ${text(help.argumentDescription(each))}`),
    // Help stands once, with the program's own options.
    optionList(command, ({ long }) => long !== "--help"),
  ];
}

function optionList(command: Command, shown: (option: Option) => boolean): string {
  const help = command.createHelp();
  return help
    .visibleOptions(command)
    .filter(shown)
    .map((option) => {
      const term = text(help.optionTerm(option)).replace(/(?<!\S)-{1,2}[A-Za-z][\w-]*/g, "**$&**");
      return `* ${term}:\n  ${text(help.optionDescription(option))}`;
    })
    .join("\n\n");
}

/** Text in which no character marks anything up. */
function text(plain: string): string {
  return plain.replace(/[\\`*_{}[\]<>#+!|~&]/g, "\\$&");
}
