/**
 * A worker in the place of src/solve/engine-worker.js: the real engine, whose answer is then spoilt. The fault is named by
 * `fault` of the task.
 */
import { parentPort } from "node:worker_threads";
import { run as runHighs } from "../../src/solve/highs-engine.js";
import { run as runOther } from "../../src/solve/javascript-lp-solver-engine.js";

const faults = {
  none: (claim) => claim,
  throws() {
    throw new Error("out of memory");
  },
  exits() {
    process.exit(3);
  },
  "never returns"() {
    for (;;);
  },
  "answers nothing but zeros": (claim) => ({ ...claim, x: claim.x?.map(() => 0) }),
  "answers one more of all": (claim) => ({ ...claim, x: claim.x?.map((value) => value + 1) }),
  "answers parts of it": (claim) => ({ ...claim, x: claim.x?.map((value) => value / 2) }),
  "answers less than it takes": (claim) => ({ ...claim, value: claim.value - 1, bound: claim.value - 1 }),
  "is too short": (claim) => ({ ...claim, x: claim.x?.slice(1) }),
  "finds no solution": () => ({ status: "infeasible" }),
  "is not a number": (claim) => ({ ...claim, x: claim.x?.map(() => Number.NaN) }),
};

parentPort.on("message", async ({ fault, ...task }) => {
  const claim = await (task.engine === "highs" ? runHighs(task, () => {}) : runOther(task));
  parentPort.postMessage({ last: true, claim: task.whole ? faults[fault](claim) : claim });
});
