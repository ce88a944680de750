import type { Command } from "commander";
import { EXIT, type Io, textOptions } from "./io.js";
import { addPacking, type PackingOptions } from "./options.js";
import { planDesign } from "./plan-design.js";

/** `pack DESIGN`: places every memory and prints the plan. Exit code 1 where it does not fit. */
export function addPack(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("pack")
    .description("place every memory of a design in the device's blocks and say what is wasted, and why")
    .argument("<design>", "design file");
  addPacking(command).action(async (path: string, options: PackingOptions) => {
    const plan = await planDesign(path, options, io);
    if (options.json) {
      const { planJson } = await import("../report/json.js");
      io.stdout.write(planJson(plan));
    } else {
      const { planTable } = await import("../report/table.js");
      io.stdout.write(planTable(plan, textOptions(io)));
    }
    const { brokenLimits } = await import("../report/limits.js");
    const over = plan.status === "over-budget" || brokenLimits(plan).length > 0;
    finish(over ? EXIT.over : EXIT.done);
  });
}
