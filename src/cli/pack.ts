import type { Command } from "commander";
import type { Io } from "./io.js";
import { addPacking } from "./options.js";
import type { PackCommandOptions } from "./pack-and-print.js";

/** `pack DESIGN`: places every memory and prints the plan. Exit code 1 where it does not fit. */
export function addPack(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("pack")
    .description("place every memory of a design in the device's blocks and say what is wasted, and why")
    .argument("<design>", "design file")
    .option("--map", "also draw the blocks");
  addPacking(command).action(async (path: string, options: PackCommandOptions) => {
    const { packAndPrint } = await import("./pack-and-print.js");
    finish(await packAndPrint(path, options, io));
  });
}
