import type { Io } from "./io.js";

/**
 * Does work that must not be left half done, such as writing files: Ctrl-C waits until it is done. Returns whether there was
 * one.
 */
export async function undisturbed(io: Io, work: () => void): Promise<boolean> {
  let interrupted = false;
  const release = io.onInterrupt?.(() => {
    interrupted = true;
  });
  try {
    work();
    // A signal that came meanwhile is told when the thread is free.
    await new Promise((resume) => setImmediate(() => setImmediate(resume)));
  } finally {
    release?.();
  }
  return interrupted;
}
