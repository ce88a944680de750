import { Tinypool } from "tinypool";
import type { PackResult, PackTask } from "./pack-task.js";

/** Threads that pack. */
export interface PackPool {
  run(task: PackTask): Promise<PackResult>;
  /** Ends all threads, whatever they are doing; what they were doing is rejected. */
  close(): Promise<void>;
}

/** At most `jobs` threads. */
export function packPool(jobs: number): PackPool {
  const fromSources = import.meta.url.endsWith(".ts");
  const file = new URL(`./pack-worker.${fromSources ? "ts" : "js"}`, import.meta.url);
  const pool = new Tinypool({
    filename: file.href,
    // Threads start when there is work for them, and stay until the pool is closed.
    minThreads: 0,
    idleTimeout: 2 ** 30,
    maxThreads: jobs,
    execArgv: fromSources ? ["--import", typeScriptLoader()] : [],
  });
  return {
    run: (task) => pool.run(task) as Promise<PackResult>,
    close: () => pool.destroy(),
  };
}

/** Run from the sources, as tests are, the worker is TypeScript: a module that lets a thread read it. */
function typeScriptLoader(): string {
  const loader = import.meta.resolve("tsx/esm/api");
  return `data:text/javascript,import { register } from ${JSON.stringify(loader)}; register();`;
}
