#!/usr/bin/env node
import { run } from "./run.js";

// A reader that closes the pipe (`| head`) has seen enough: no error, and the exit code stays what it is.
for (const stream of [process.stdout, process.stderr]) {
  stream.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code !== "EPIPE") throw error;
  });
}

process.exitCode = await run(process.argv.slice(2), {
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
});
