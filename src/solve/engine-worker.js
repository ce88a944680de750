// @ts-check
/**
 * The thread that runs an engine, one task at a time. Plain JavaScript, because Node starts it as it stands, from
 * the sources under test and from dist/ alike. It imports the engines and nothing else of ours.
 *
 * @import { Claim, Message, Task } from "./protocol.js"
 */
import { parentPort } from "node:worker_threads";

/** @type {Record<Task["engine"], () => Promise<{ run(task: Task, report: (claim: Claim) => void): Promise<Claim> }>>} */
const engines = {
  highs: () => import("./highs-engine.js"),
  "javascript-lp-solver": () => import("./javascript-lp-solver-engine.js"),
};

parentPort?.on("message", async (/** @type {Task} */ task) => {
  const post = (/** @type {Message} */ message) => parentPort?.postMessage(message);
  try {
    const engine = await engines[task.engine]();
    post({ last: true, claim: await engine.run(task, (claim) => post({ last: false, claim })) });
  } catch (error) {
    post({ last: true, claim: { status: "failed", reason: String(error) } });
  }
});
