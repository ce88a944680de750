#!/usr/bin/env node
import { EXIT } from "./io.js";
import { run } from "./run.js";
import { unwritable } from "./write-file.js";

/** Why the output could not be written; null: it could. */
let lost: Error | null = null;

// A reader that closes the pipe (`| head`) has seen enough: no error, and the exit code stays what it is.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code === "EPIPE" || lost !== null) return;
  lost = error;
  process.stderr.write(`error: ${unwritable("the output", error).message}\n`);
  process.exitCode = EXIT.badInput;
});
// There is no place left to say what is wrong.
process.stderr.on("error", () => {});

// Until it is done: a run that never ends must not look like one that went well.
process.exitCode = EXIT.fault;
void run(process.argv.slice(2), {
  stdout: process.stdout,
  stderr: process.stderr,
  env: process.env,
  cwd: process.cwd(),
  isTTY: process.stdout.isTTY === true,
  columns: process.stdout.columns,
  terminal: process.stderr.isTTY ? process.stderr : undefined,
  onInterrupt(act) {
    process.once("SIGINT", act);
    return () => process.off("SIGINT", act);
  },
}).then((exit) => {
  if (lost === null) process.exitCode = exit;
});
