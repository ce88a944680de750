import { availableParallelism } from "node:os";
import type { Worker } from "node:worker_threads";
import { LONGEST_TIMER } from "./longest-timer.js";
import type { Claim, Engine, Message, Task } from "./protocol.js";

const ENGINE_WORKER = new URL("../solve/engine-worker.js", import.meta.url);

/** Tasks that are run at once at most. */
const MOST_AT_ONCE = 2;

/** How long a worker may go on with a task that is not needed any more, in milliseconds, before it is ended. */
const STOPPING_MS = 300;

/** Workers that wait for their next task, for each engine (and, in tests, each worker file) as many as run at once. */
const idle = new Map<string, Worker[]>();

let loading: Promise<typeof import("node:worker_threads")> | undefined;

/** Loaded here and not at the top: most designs are packed without an engine, and it takes some milliseconds. */
function threads(): Promise<typeof import("node:worker_threads")> {
  loading ??= import("node:worker_threads");
  return loading;
}

/**
 * How many tasks are worth running at once, where there are several: in a thread that is one of many only one, as the
 * others have tasks too.
 */
export async function tasksAtOnce(): Promise<number> {
  const { isMainThread } = await threads();
  return isMainThread ? Math.min(MOST_AT_ONCE, availableParallelism()) : 1;
}

/** How long a task may run, and what runs it. */
export interface RunLimits {
  /** Milliseconds from now after which the engine's thread is ended. */
  readonly deadlineMs: number;
  /** Ends the thread at once when it fires. */
  readonly signal?: AbortSignal | undefined;
  /**
   * When it fires, the answer is not needed any more: the task resolves with what it has, and the thread may be used
   * again once it has stopped.
   */
  readonly enough?: AbortSignal | undefined;
  /** Told of every better answer on the way, as the engine claims it. */
  readonly onBetter?: ((claim: Claim) => void) | undefined;
  /** The worker's file; default engine-worker.js. For tests that put a faulty engine in its place. */
  readonly workerFile?: URL | undefined;
}

/** A task before the host adds which engine it is for, and until when. */
export type UnaddressedTask = Pick<
  Task,
  "program" | "whole" | "loose" | "mode" | "seed" | "work" | "start" | "tried" | "gap" | "cutoff"
>;

/**
 * Runs one task in a thread of its own and resolves with the engine's claim, at the latest when the time is up or
 * a signal fires: the claim is then the best answer that it had posted ("feasible"), or "out-of-time", and the thread is
 * ended; at once, but where the answer was merely no longer needed, only if it does not stop by itself. A thread that
 * ended or failed is never used again; one that answered waits, without holding the process, for the next task. Never
 * rejects.
 */
export async function runTask(
  engine: Engine,
  task: UnaddressedTask,
  { deadlineMs, signal, enough, onBetter, workerFile = ENGINE_WORKER }: RunLimits,
): Promise<Claim> {
  const stopAt = Date.now() + deadlineMs;
  const { Worker } = await threads();
  if (!(stopAt > Date.now()) || signal?.aborted || enough?.aborted) return { status: "out-of-time" };
  const key = `${engine} ${workerFile.href}`;
  const worker = idle.get(key)?.pop() ?? startWorker(Worker, key, workerFile);
  worker.ref();
  const stop = enough === undefined ? null : new Int32Array(new SharedArrayBuffer(4));

  return new Promise((resolve) => {
    let best: Claim = { status: "out-of-time" };
    let timer = setTimeout(outOfTime, Math.min(stopAt - Date.now(), LONGEST_TIMER));
    signal?.addEventListener("abort", outOfTime);
    enough?.addEventListener("abort", onEnough);
    worker.on("message", onMessage).on("error", onError).on("exit", onExit);
    worker.postMessage({ ...task, engine, stopAt, enough: stop } satisfies Task);

    function onMessage({ last, claim }: Message) {
      if (last) return finish(claim, claim.status !== "failed");
      best = claim;
      onBetter?.(claim);
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
    function onEnough() {
      Atomics.store(stop!, 0, 1);
      clearTimeout(timer);
      timer = setTimeout(outOfTime, STOPPING_MS);
      timer.unref();
      worker.unref();
      resolve(best);
    }
    function finish(claim: Claim, reusable: boolean) {
      clearTimeout(timer);
      signal?.removeEventListener("abort", outOfTime);
      enough?.removeEventListener("abort", onEnough);
      worker.off("message", onMessage).off("error", onError).off("exit", onExit);
      const others = idle.get(key) ?? [];
      if (reusable && others.length < MOST_AT_ONCE) {
        idle.set(key, [...others, worker]);
        worker.unref();
      } else {
        void worker.terminate();
      }
      resolve(claim);
    }
  });
}

/** A thread that prints nothing, and leaves the list of idle ones when it ends while it waits. */
function startWorker(Thread: typeof Worker, key: string, file: URL): Worker {
  const worker = new Thread(file, { stdout: true, stderr: true });
  worker.on("error", () => {});
  worker.on("exit", () => {
    idle.set(
      key,
      (idle.get(key) ?? []).filter((each) => each !== worker),
    );
  });
  return worker;
}
