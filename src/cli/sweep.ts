import { resolve } from "node:path";
import type { Command } from "commander";
import type { AccessKind, Sweep } from "../advise/index.js";
import type { Device } from "../model/index.js";
import { EXIT, type Io, textOptions } from "./io.js";
import { addPacking, type PackingOptions } from "./options.js";
import { type Bar, progressBar } from "./progress-bar.js";
import { behindOf, jobsOf, repeated, seesOf } from "./sweep-options.js";
import { undisturbed } from "./undisturbed.js";
import { UsageError } from "./usage-error.js";
import { writeWhole } from "./write-file.js";

interface SweepCommandOptions extends PackingOptions {
  readonly vary: readonly string[];
  readonly where: readonly string[];
  readonly pareto?: string;
  readonly sort?: string;
  readonly trace?: string;
  readonly sees: ReadonlyMap<string, readonly AccessKind[]>;
  readonly behind: ReadonlyMap<string, readonly string[]>;
  readonly csv?: string;
  readonly resume?: string;
  readonly jobs?: number;
}

/** `sweep DESIGN`: packs every combination of some values. Exit code 1 where no row is left that fits. */
export function addSweep(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("sweep")
    .description("pack a design with every combination of some values, on one or several devices")
    .argument("<design>", "design file")
    .option(
      "--vary <path=values>",
      "a key and its values: l1d.ways=1,2,4, l2.size=64 KiB..1 MiB*2 (may be repeated)",
      repeated,
      [],
    )
    .option(
      "--where <expression>",
      "what has to hold: l1d.size == 16 KiB && blocks < 90 (may be repeated)",
      repeated,
      [],
    )
    .option("--pareto <names>", "mark the rows that no other beats, for example blocks,capacity:max")
    .option("--sort <names>", "order of the rows, for example blocks,efficiency:max")
    .option("--trace <file>", "accesses to run through the caches: CSV of kind,address, plain or gzip")
    .option("--sees <cache=kinds>", "kinds of access that a cache sees (may be repeated)", seesOf, new Map())
    .option(
      "--behind <cache=caches>",
      "caches whose misses a cache sees (may be repeated)",
      behindOf,
      new Map(),
    )
    .option("--csv <file>", "write the rows to a file once all are there")
    .option("--resume <file>", "keep what is done in a file, and go on from there")
    .option("--jobs <n>", "threads that pack (default: one a processor)", jobsOf);
  // The empty lists are no defaults that help should print.
  for (const [name, words] of [
    ["vary", "compare devices alone"],
    ["where", "all"],
    ["sees", "read_only caches fetches, others the rest"],
    ["behind", "each sees the whole trace"],
  ] as const) {
    command.options.find((option) => option.attributeName() === name)!.defaultValueDescription = words;
  }
  addPacking(
    command,
    "devices by name or path of a device file, with commas between them (default: the design's own)",
  ).action(async (path: string, options: SweepCommandOptions) => {
    const swept = await runSweep(path, options, io);
    // A file of an earlier sweep is better than half of this one.
    const interrupted =
      options.csv !== undefined && !swept.interrupted
        ? await writeCsv(options.csv, swept, io)
        : swept.interrupted;
    const { sweepJson, sweepTable } = await import("../report/sweep.js");
    io.stdout.write(options.json ? sweepJson(swept) : sweepTable(swept, textOptions(io)));
    const fits = swept.rows.some((row) => row.fits);
    finish(interrupted ? EXIT.interrupted : fits ? EXIT.done : EXIT.over);
  });
}

async function runSweep(path: string, options: SweepCommandOptions, io: Io): Promise<Sweep> {
  const { readAxis, sweep, sweepHash } = await import("../advise/index.js");
  const { openDesign, openDevice } = await import("./load.js");
  const { deviceName } = await import("./plan-design.js");
  const read = openDesign(path, io);
  const { source, design } = read;
  const devices: Device[] = [];
  for (const name of deviceName(options.device ?? design.device).split(",")) {
    const device = openDevice(name.trim(), io, options.device === undefined ? read : null);
    if (!devices.some((other) => other.name === device.name)) devices.push(device);
  }
  if (options.vary.length === 0 && devices.length === 1) {
    const message = "nothing to sweep: give --vary PATH=VALUES, or --device with several devices";
    throw new UsageError("missing-argument", message);
  }
  const { where, pareto, sort, trace, sees, behind, jobs, engine } = options;
  const task = {
    source,
    axes: options.vary.map(readAxis),
    devices,
    where,
    pareto,
    sort,
    trace: trace === undefined ? undefined : { path: resolve(io.cwd, trace), file: trace, sees, behind },
    jobs,
    engine,
    deadlineMs: options.deadline * 1000,
  };
  if (trace === undefined && sees.size + behind.size > 0) {
    throw new UsageError("missing-argument", "--sees and --behind are about a trace: give --trace FILE");
  }
  const journal =
    options.resume === undefined
      ? null
      : (await import("./sweep-journal.js")).openJournal(
          resolve(io.cwd, options.resume),
          options.resume,
          sweepHash(task),
        );
  const stop = new AbortController();
  const release = io.onInterrupt?.(() => stop.abort());
  let bar: Bar | null = null;
  try {
    bar = await progressBar(io);
    return await sweep({
      ...task,
      done: journal?.done ?? [],
      onOutcome: (outcome) => journal?.add(outcome),
      onProgress: (progress) => bar?.show(progress),
      signal: stop.signal,
    });
  } finally {
    bar?.end();
    release?.();
    journal?.close();
  }
}

/** Writes the rows; whether it was interrupted meanwhile. */
async function writeCsv(path: string, swept: Sweep, io: Io): Promise<boolean> {
  const { sweepCsv } = await import("../report/sweep-csv.js");
  return undisturbed(io, () => writeWhole(resolve(io.cwd, path), sweepCsv(swept), true, path));
}
