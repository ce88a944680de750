/**
 * One point of the growth curve in a process of its own, so that its memory can be read. Arguments: distinct memories,
 * device, `free` (no limits) or `bound` (nine tenths of the blocks that the plan without limits has in its main pool; that plan
 * is made first and not counted in the time). Prints one line of JSON.
 */
import { pack } from "../../src/index.js";
import { largeSystem, tightened } from "./systems.js";

const [count, device, budget] = process.argv.slice(2);
const { design: free, device: part } = largeSystem(Number(count), device!);
const design =
  budget === "bound" ? tightened(free, part, await pack(free, part, { deadlineMs: 45_000 })) : free;
const before = process.resourceUsage().maxRSS;
const started = performance.now();
const plan = await pack(design, part, { deadlineMs: 45_000 });
const ms = performance.now() - started;
const { value, bound, proven } = plan.objective;
console.log(
  JSON.stringify({
    memories: design.requests.length,
    device: part.name,
    budget,
    ms,
    status: plan.status,
    engine: plan.solver.engine,
    value,
    bound,
    proven,
    gap: value === 0 ? 0 : (value - bound) / value,
    /** KiB of the whole process at its largest: loader, threads and all; and before packing. */
    mostKiB: process.resourceUsage().maxRSS,
    beforeKiB: before,
    limits: design.limits.blocks,
    used: plan.totals.blocks,
  }),
);
process.exit(0);
