import type { Command } from "commander";
import { EXIT, type Io, textOptions } from "./io.js";
import { addJson } from "./options.js";

/** `derive DESIGN`: prints the memory requests with the formula that gave each depth and width. */
export function addDerive(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("derive")
    .description("print the memories that a design's structures need, and how each size came about")
    .argument("<design>", "design file");
  addJson(command).action(async (path: string, options: { readonly json?: true }) => {
    const { openDesign } = await import("./load.js");
    const { design } = openDesign(path, io);
    const { deriveJson, deriveTable } = await import("../report/derive.js");
    io.stdout.write(options.json ? deriveJson(design) : deriveTable(design, textOptions(io)));
    finish(EXIT.done);
  });
}
