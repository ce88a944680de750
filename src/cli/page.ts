import type { Command } from "commander";
import type { Io } from "./io.js";
import { addPacking } from "./options.js";
import type { PageCommandOptions } from "./write-page.js";

/** `page DESIGN -o FILE`: writes a page that shows the plan and packs anew. Exit code 1 where the design does not fit. */
export function addPage(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("page")
    .description("write a page, one file, that shows the plan and packs other geometries in the browser")
    .argument("<design>", "design file")
    .requiredOption("-o, --output <file>", "file to write")
    .option("--sweep <file>", "a sweep of the design, as `sweep --json` writes it, to draw in the page")
    .option("--force", "overwrite a file that is not a page, or was changed since");
  addPacking(command).action(async (path: string, options: PageCommandOptions) => {
    const { writePage } = await import("./write-page.js");
    finish(await writePage(path, options, io));
  });
}
