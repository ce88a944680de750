import { type PackResult, type PackTask, packTask } from "./pack-task.js";

/** The pool's worker: one task a message. */
export default function work(task: PackTask): Promise<PackResult> {
  return packTask(task);
}
