import { existsSync } from "node:fs";
import type { Device } from "../../model/index.js";
import type { PackResult, PackTask } from "./pack-task.js";

/** Threads that pack. */
export interface PackPool {
  run(task: PackTask): Promise<PackResult>;
  /** Ends all threads, whatever they are doing; what they were doing is rejected. */
  close(): Promise<void>;
}

/** A task on its way to a thread, which has the devices already. */
export type PackMessage = Omit<PackTask, "device"> & { readonly device: number };

/** At most `jobs` threads, for tasks on some devices. */
export async function packPool(jobs: number, devices: readonly Device[]): Promise<PackPool> {
  // Loaded as a module whatever this file is bundled to.
  const { Tinypool } = await import("tinypool");
  const fromSources = import.meta.url.endsWith(".ts");
  const pool = new Tinypool({
    filename: workerFile(fromSources ? "ts" : "js"),
    // Threads start when there is work for them, and stay until the pool is closed.
    minThreads: 0,
    idleTimeout: 2 ** 30,
    maxThreads: jobs,
    workerData: devices,
    execArgv: fromSources ? ["--import", typeScriptLoader()] : [],
  });
  // A thread that breaks with no task in hand, such as one that cannot start, would leave the tasks waiting for ever.
  const broken = new Promise<never>((_, reject) => pool.once("error", reject));
  broken.catch(() => {});
  return {
    run: (task) => {
      const message: PackMessage = { ...task, device: devices.indexOf(task.device) };
      return Promise.race([pool.run(message) as Promise<PackResult>, broken]);
    },
    close: () => pool.destroy(),
  };
}

/** The worker stands beside this file; seen from a bundle of the command line, in the folder that it is built to. */
function workerFile(ending: "ts" | "js"): string {
  const beside = new URL(`./pack-worker.${ending}`, import.meta.url);
  return existsSync(beside) ? beside.href : new URL("../advise/sweep/pack-worker.js", import.meta.url).href;
}

/** Run from the sources, as tests are, the worker is TypeScript: a module that lets a thread read it. */
function typeScriptLoader(): string {
  const loader = import.meta.resolve("tsx/esm/api");
  return `data:text/javascript,import { register } from ${JSON.stringify(loader)}; register();`;
}
