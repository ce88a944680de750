// @ts-check
/**
 * The fenced blocks of README.md and GUIDE.md that can be run. A block whose first line is a comment with a file name
 * (`# receiver.yaml`, `// waste.mjs`) is that file. A `console` block is a command after `$ ` and what it prints.
 * Plain JavaScript, because the test and the script update.js both use it.
 */
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const ROOT = fileURLToPath(new URL("../../", import.meta.url));
export const README = join(ROOT, "README.md");
export const GUIDE = join(ROOT, "GUIDE.md");

const FENCED = /^```([a-z]+)\n(.*?)^```$/gms;
const FILE_NAME = /^(?:#|\/\/) ([\w.-]+)\n/;
const COMMAND = /^\$ (.+)\n/;

/** @param {string} readme */
function blocksOf(readme) {
  return [...readme.matchAll(FENCED)].map(([, language = "", body = ""]) => ({ language, body }));
}

/**
 * The files that the README shows: name to text.
 * @param {string} readme
 * @returns {Map<string, string>}
 */
export function filesIn(readme) {
  return new Map(
    blocksOf(readme).flatMap(({ language, body }) => {
      const name = language === "console" ? undefined : FILE_NAME.exec(body)?.[1];
      return name === undefined ? [] : [/** @type {const} */ ([name, body])];
    }),
  );
}

/**
 * The commands that the README shows with their output.
 * @param {string} readme
 * @returns {string[]}
 */
export function commandsIn(readme) {
  return blocksOf(readme).flatMap(({ language, body }) => {
    const command = language === "console" ? COMMAND.exec(body)?.[1] : undefined;
    return command === undefined ? [] : [command];
  });
}

/**
 * The README with each command's output as `run` gives it. The commands run in a folder that holds the README's
 * files and where `ramtailor` can be imported.
 * @param {string} readme
 * @param {(command: string, folder: string) => Promise<string>} run
 * @returns {Promise<string>}
 */
export async function withOutputs(readme, run) {
  const folder = mkdtempSync(join(tmpdir(), "ramtailor-readme-"));
  try {
    for (const [name, text] of filesIn(readme)) writeFileSync(join(folder, name), text);
    mkdirSync(join(folder, "node_modules"));
    symlinkSync(ROOT, join(folder, "node_modules", "ramtailor"), "junction");
    /** @type {Map<string, string>} */
    const outputs = new Map();
    for (const command of commandsIn(readme)) outputs.set(command, await run(command, folder));
    return readme.replace(FENCED, (block, language, body) => {
      const command = language === "console" ? COMMAND.exec(body)?.[1] : undefined;
      return command === undefined ? block : `\`\`\`console\n$ ${command}\n${outputs.get(command)}\`\`\``;
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
}
