/** Lets other work of the thread go on for a moment; rejects with the signal's reason where it has fired. */
export type Pause = () => Promise<void>;

/** How long a piece of work may hold the thread before it lets others in. */
const TURN_MS = 20;

/**
 * The pause for work that a signal may end: a signal can fire only while the thread is free, so long work has to let go of it
 * now and then. Without a signal it does nothing.
 */
export function pauseFor(signal: AbortSignal | undefined): Pause {
  if (signal === undefined) return async () => {};
  let since = Date.now();
  return async () => {
    signal.throwIfAborted();
    if (Date.now() - since < TURN_MS) return;
    await letOthersIn();
    since = Date.now();
    signal.throwIfAborted();
  };
}

/** Lets what waits for the thread have it once. */
export function letOthersIn(): Promise<void> {
  return new Promise((resume) => {
    if (typeof setImmediate === "function") setImmediate(resume);
    else setTimeout(resume, 0);
  });
}
