import type { Command } from "commander";
import { EXIT, type Io, textOptions } from "./io.js";
import { addPacking, type PackingOptions } from "./options.js";
import { progressBar } from "./progress-bar.js";
import { UsageError } from "./usage-error.js";

/** `explain DESIGN MEMORY`: how one memory was placed, and what each other way to hold it would take. */
export function addExplain(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("explain")
    .description("tell how one memory is placed, which other ways there were, and why bits are wasted")
    .argument("<design>", "design file")
    .argument("<memory>", "name of a memory, for example l1d.tag");
  addPacking(command).action(async (path: string, name: string, options: PackingOptions) => {
    const { openBoth, packing } = await import("./plan-design.js");
    const { read, device } = openBoth(path, options, io);
    const { explain, UnknownMemoryError } = await import("../advise/explain/index.js");
    const { engine, deadline } = options;
    const bar = options.json ? null : await progressBar(io);
    const onProgress = bar === null ? undefined : bar.show;
    const settings = { engine, deadlineMs: deadline * 1000, onProgress };
    const explanation = await packing(read, io, (onEngineFailure) =>
      explain(read.design, device, name, { ...settings, onEngineFailure }).finally(() => bar?.end()),
    ).catch((error: unknown) => {
      if (!(error instanceof UnknownMemoryError)) throw error;
      // The name of a structure is no slip of the pen: its memories are what was meant.
      const parts = read.design.requests.filter(({ structure }) => structure === name);
      const names = parts.length > 0 ? parts.map((request) => request.name) : error.names;
      const of = `${JSON.stringify(name)} is ${parts.length > 0 ? "a structure" : "no memory"} of ${read.design.name}`;
      const unknown = { word: parts.length > 0 ? "" : name, names, what: "memories" };
      throw new UsageError("unknown-name", of, unknown);
    });
    const { explainJson, explainText } = await import("../report/explain.js");
    io.stdout.write(options.json ? explainJson(explanation) : explainText(explanation, textOptions(io)));
    finish(explanation.plan.status === "over-budget" ? EXIT.over : EXIT.done);
  });
}
