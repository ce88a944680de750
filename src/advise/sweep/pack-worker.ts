import { workerData } from "node:worker_threads";
import { CandidateMemo } from "../../candidates/index.js";
import type { Device } from "../../model/index.js";
import type { PackMessage } from "./pack-pool.js";
import { type PackResult, packTask } from "./pack-task.js";

/** The pool gives data of its own first, then ours. */
const [, devices] = workerData as readonly [unknown, readonly Device[]];
const memo = new CandidateMemo();

/** The work of a thread of the pool: one task a message. */
export default function work({ device, ...task }: PackMessage): Promise<PackResult> {
  return packTask({ ...task, device: devices[device]! }, memo);
}
