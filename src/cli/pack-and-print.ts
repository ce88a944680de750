import { pack } from "../plan/pack.js";
import { planJson } from "../report/json.js";
import { brokenLimits } from "../report/limits.js";
import { blockMap } from "../report/map.js";
import { planTable } from "../report/table.js";
import { EXIT, type Io, textOptions } from "./io.js";
import type { PackingOptions } from "./options.js";
import { openBoth, packing } from "./plan-design.js";

/** Options of `pack`. */
export interface PackCommandOptions extends PackingOptions {
  readonly map?: true;
}

/** What `pack` does when it runs: a module of its own, so that all of it is loaded in one go. Returns the exit code. */
export async function packAndPrint(path: string, options: PackCommandOptions, io: Io): Promise<number> {
  const { read, device } = openBoth(path, options, io);
  const { engine, deadline } = options;
  // The plan that is printed has the warnings of engines that failed.
  const plan = await packing(read, io, () =>
    pack(read.design, device, { engine, deadlineMs: deadline * 1000 }),
  );
  if (options.json) {
    io.stdout.write(planJson(plan));
  } else {
    io.stdout.write(planTable(plan, textOptions(io)));
    if (options.map) io.stdout.write(`\n${blockMap(plan, device, textOptions(io))}`);
  }
  const over = plan.status === "over-budget" || brokenLimits(plan).length > 0;
  return over ? EXIT.over : EXIT.done;
}
