/**
 * A worker in the place of src/solve/engine-worker.js, whose fault is told by the upper limit of the program's second variable. The
 * true answer of the program that the tests give it (minimise 3 a + 2 b with a + b >= 4, a <= 3) is x = (0, 4),
 * value 8.
 */
import { parentPort } from "node:worker_threads";
import { FAULTS, FIRST_LIMIT } from "./faults.js";

const truth = { status: "optimal", x: [0, 4], value: 8, bound: 8 };

const claims = {
  "breaks a row": { ...truth, x: [0, 3], value: 6, bound: 6 },
  "breaks an upper limit": { ...truth, x: [4, 0], value: 12, bound: 12 },
  "is negative": { ...truth, x: [-1, 5], value: 7, bound: 7 },
  "is fractional": { ...truth, x: [0.5, 3.5], value: 8.5, bound: 8 },
  "is not a number": { ...truth, x: [Number.NaN, 4] },
  "is too short": { ...truth, x: [0], value: 0, bound: 0 },
  "misstates its value": { ...truth, value: 7 },
  "has a bound above its value": { ...truth, bound: 9 },
  "calls a worse answer optimal": { ...truth, x: [1, 3], value: 9 },
};

const behaviours = {
  none: () => truth,
  throws() {
    throw new Error("out of memory");
  },
  exits() {
    process.exit(3);
  },
  "never returns"() {
    for (;;);
  },
  "finds an answer, then never returns"() {
    parentPort.postMessage({ last: false, claim: { ...truth, status: "feasible", bound: 7.5 } });
    for (;;);
  },
};

parentPort.on("message", (task) => {
  const fault = FAULTS[task.program.upper[1] - FIRST_LIMIT];
  const claim = claims[fault] ?? behaviours[fault]();
  parentPort.postMessage({ last: true, claim });
});
