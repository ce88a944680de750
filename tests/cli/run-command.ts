import { fileURLToPath } from "node:url";
import type { Io } from "../../src/cli/io.js";
import { run } from "../../src/cli/run.js";

/** What a command left behind. */
export interface Ran {
  readonly exit: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a command in the folder of the fixtures. `words` are its arguments, split at spaces. */
export async function ramtailor(words: string, io: Partial<Io> = {}): Promise<Ran> {
  let stdout = "";
  let stderr = "";
  const exit = await run(words === "" ? [] : words.split(" "), {
    stdout: {
      write: (text) => {
        stdout += text;
      },
    },
    stderr: {
      write: (text) => {
        stderr += text;
      },
    },
    env: {},
    cwd: fileURLToPath(new URL("fixtures/", import.meta.url)),
    isTTY: false,
    ...io,
  });
  return { exit, stdout, stderr };
}
