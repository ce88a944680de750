import type { Worker } from "node:worker_threads";
import type { Claim, Engine, Message, Task } from "./protocol.js";

const ENGINE_WORKER = new URL("../solve/engine-worker.js", import.meta.url);

/** Workers that wait for their next task, at most one for each engine (and, in tests, each worker file). */
const idle = new Map<string, Worker>();

/** How long a task may run, and what runs it. */
export interface RunLimits {
  /** Milliseconds from now after which the engine's thread is ended. */
  readonly deadlineMs: number;
  /** Ends the thread at once when it fires. */
  readonly signal?: AbortSignal | undefined;
  /** The worker's file; default engine-worker.js. For tests that put a faulty engine in its place. */
  readonly workerFile?: URL | undefined;
}

/** A task before the host adds which engine it is for, and until when. */
export type UnaddressedTask = Pick<Task, "program" | "whole" | "search" | "gap" | "cutoff">;

/**
 * Runs one task in a thread of its own and resolves with the engine's claim, at the latest when the time is up or
 * the signal fires: the thread is then ended, and the claim is the best answer that it had posted ("feasible"), or
 * "out-of-time". A thread that ended or failed is never used again; one that answered waits, without holding the
 * process, for the next task. Never rejects.
 */
export async function runTask(
  engine: Engine,
  task: UnaddressedTask,
  { deadlineMs, signal, workerFile = ENGINE_WORKER }: RunLimits,
): Promise<Claim> {
  const stopAt = Date.now() + deadlineMs;
  // Loaded here and not at the top: most designs are packed without an engine, and it takes some milliseconds.
  const threads = await import("node:worker_threads");
  if (!(stopAt > Date.now()) || signal?.aborted) return { status: "out-of-time" };
  const key = `${engine} ${workerFile.href}`;
  const worker = idle.get(key) ?? startWorker(threads, key, workerFile);
  idle.delete(key);
  worker.ref();

  return new Promise((resolve) => {
    let best: Claim = { status: "out-of-time" };
    const timer = setTimeout(outOfTime, Math.min(stopAt - Date.now(), 2 ** 31 - 1));
    signal?.addEventListener("abort", outOfTime);
    worker.on("message", onMessage).on("error", onError).on("exit", onExit);
    worker.postMessage({ ...task, engine, stopAt } satisfies Task);

    function onMessage({ last, claim }: Message) {
      if (last) finish(claim, claim.status !== "failed");
      else best = claim;
    }
    function onError(error: Error) {
      finish({ status: "failed", reason: `the engine's thread broke off: ${error.message}` }, false);
    }
    function onExit(code: number) {
      finish({ status: "failed", reason: `the engine's thread ended with code ${code}` }, false);
    }
    function outOfTime() {
      finish(best, false);
    }
    function finish(claim: Claim, reusable: boolean) {
      clearTimeout(timer);
      signal?.removeEventListener("abort", outOfTime);
      worker.off("message", onMessage).off("error", onError).off("exit", onExit);
      if (reusable && !idle.has(key)) {
        idle.set(key, worker);
        worker.unref();
      } else {
        void worker.terminate();
      }
      resolve(claim);
    }
  });
}

/** A thread that prints nothing, and leaves the list of idle ones when it ends while it waits. */
function startWorker(threads: typeof import("node:worker_threads"), key: string, file: URL): Worker {
  const worker = new threads.Worker(file, { stdout: true, stderr: true });
  worker.on("error", () => {});
  worker.on("exit", () => {
    if (idle.get(key) === worker) idle.delete(key);
  });
  return worker;
}
