import type { Command } from "commander";
import { EXIT, type Io, textOptions } from "./io.js";
import { addPacking, type PackingOptions } from "./options.js";
import { openBoth, packing } from "./plan-design.js";

interface PackCommandOptions extends PackingOptions {
  readonly map?: true;
}

/** `pack DESIGN`: places every memory and prints the plan. Exit code 1 where it does not fit. */
export function addPack(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("pack")
    .description("place every memory of a design in the device's blocks and say what is wasted, and why")
    .argument("<design>", "design file")
    .option("--map", "also draw the blocks");
  addPacking(command).action(async (path: string, options: PackCommandOptions) => {
    const { read, device } = await openBoth(path, options, io);
    const { pack } = await import("../plan/pack.js");
    const { engine, deadline } = options;
    // The plan that is printed has the warnings of engines that failed.
    const plan = await packing(read, io, () =>
      pack(read.design, device, { engine, deadlineMs: deadline * 1000 }),
    );
    if (options.json) {
      const { planJson } = await import("../report/json.js");
      io.stdout.write(planJson(plan));
    } else {
      const { planTable } = await import("../report/table.js");
      io.stdout.write(planTable(plan, textOptions(io)));
      if (options.map) {
        const { blockMap } = await import("../report/map.js");
        io.stdout.write(`\n${blockMap(plan, device, textOptions(io))}`);
      }
    }
    const { brokenLimits } = await import("../report/limits.js");
    const over = plan.status === "over-budget" || brokenLimits(plan).length > 0;
    finish(over ? EXIT.over : EXIT.done);
  });
}
