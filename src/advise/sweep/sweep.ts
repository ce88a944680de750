import { availableParallelism } from "node:os";
import { checkAgainstDevice, hasErrors, InputError, readDesign, type Source } from "../../input/index.js";
import type { Design, Device } from "../../model/index.js";
import type { PackOptions } from "../../plan/pack.js";
import type { AccessKind } from "../cache-simulator/geometry.js";
import type { Axis } from "./axis.js";
import { type SweepTrace, SweptCaches } from "./cache-figures.js";
import { type Combination, checkAxes, combinationCount, combinations, firstProblem } from "./combinations.js";
import { type Condition, type NameValue, readConditions } from "./expression.js";
import { inputsOf } from "./input-names.js";
import { compareCosts, type Metric, metricCost, paretoMarks, readMetrics } from "./metric.js";
import { OptionError } from "./option-error.js";
import { PartPacker } from "./pack-parts.js";
import { packPool } from "./pack-pool.js";
import { figuresOf, type PackedRow, resultNames, resultOf, type SweepProblem, type SweepRow } from "./row.js";

/** A row that was packed, or a combination for which the device has no home: what need not be worked out again. */
export type SweepOutcome = PackedRow | SweepProblem;

/** What to sweep, and how. */
export interface SweepOptions {
  readonly source: Source;
  /** Keys of the design and their values; [] compares devices alone. */
  readonly axes: readonly Axis[];
  /** At least one. */
  readonly devices: readonly Device[];
  /** Expressions that all have to hold: see readConditions. */
  readonly where?: readonly string[];
  /** Axes of the Pareto set: see readMetrics. */
  readonly pareto?: string | undefined;
  /** Order of the rows: see readMetrics; default: in the order of the combinations. */
  readonly sort?: string | undefined;
  readonly trace?: SweepTrace | undefined;
  /** Threads that pack; default: as many as there are processors. */
  readonly jobs?: number | undefined;
  /** Default `auto`. */
  readonly engine?: PackOptions["engine"];
  /** Milliseconds for one distinct part of a design; default 10,000. */
  readonly deadlineMs?: number | undefined;
  /** Outcomes of an earlier run of the same sweep, which are not worked out again. */
  readonly done?: readonly SweepOutcome[];
  /** Called with each new outcome as soon as it is there, in any order. */
  readonly onOutcome?: (outcome: SweepOutcome) => void;
  /** Called as combinations are done, left out or refused; `total` counts each on each device. */
  readonly onProgress?: (progress: { readonly done: number; readonly total: number }) => void;
  /** Ends the sweep: it then returns what is done. */
  readonly signal?: AbortSignal | undefined;
}

/** A finished or interrupted sweep. The JSON form of `--json`. */
export interface Sweep {
  readonly format: "ramtailor-sweep/1";
  readonly design: string;
  readonly axes: readonly Axis[];
  /** In the order given, with the bits of all their blocks. */
  readonly devices: readonly { readonly name: string; readonly blockBits: number }[];
  /** Combinations times devices. */
  readonly total: number;
  /** What was packed and meets all conditions, in the order asked for. */
  readonly rows: readonly SweepRow[];
  /** Combinations (on a device) that conditions leave out. */
  readonly leftOut: number;
  /** Combinations that are no design, or have no legal home on a device. */
  readonly problems: readonly SweepProblem[];
  readonly pareto: readonly Metric[] | null;
  /** Caches whose geometry differs between combinations. */
  readonly varyingCaches: readonly string[];
  /** What the trace holds; null where there is none, or it was not run because the sweep was interrupted. */
  readonly trace: {
    readonly file: string;
    readonly accesses: Readonly<Record<AccessKind, number>>;
    /** For each cache behind others those before it. */
    readonly behind: Readonly<Record<string, readonly string[]>>;
  } | null;
  /** Distinct parts of designs that were packed in this run. */
  readonly partsPacked: number;
  /** True where the signal ended it. */
  readonly interrupted: boolean;
}

/** Combinations at work for each thread, so that a thread always finds one. */
const IN_FLIGHT = 8;

/** Bits of all blocks on a part. */
export function blockBitsOf(device: Device): number {
  return device.pools.reduce((sum, { name, blocks, unitsPerBlock }) => {
    const kind = device.blocks.find(({ pool }) => pool === name)!;
    return sum + blocks * unitsPerBlock * (kind.bits / kind.units);
  }, 0);
}

/**
 * Packs a design with every combination of some values of its keys, on each of some devices, in worker threads.
 *
 * Throws InputError where the design as written has errors, OptionError where an axis, expression or metric cannot be
 * used or no combination can be packed, TraceError for the trace; rejects with a fault of ours where packing fails.
 */
export async function sweep(options: SweepOptions): Promise<Sweep> {
  return new SweepRun(options).run();
}

class SweepRun {
  private readonly caches: SweptCaches;
  private readonly conditions: readonly Condition[];
  private readonly pareto: readonly Metric[] | null;
  private readonly sort: readonly Metric[];
  /** Names that conditions and metrics ask for. */
  private readonly wanted: ReadonlySet<string>;
  private readonly inputs = new Map<number, ReadonlyMap<string, NameValue>>();
  private readonly packed: PackedRow[] = [];
  private readonly problems: SweepProblem[] = [];
  private readonly design: string;
  /** Warnings of the design as written. */
  private readonly usualWarnings: ReadonlySet<string>;
  private readonly total: number;
  private leftOut = 0;
  private done = 0;

  constructor(private readonly options: SweepOptions) {
    const { source, axes, devices, where = [], trace = null } = options;
    if (devices.length === 0) throw new RangeError("a sweep needs a device");
    const base = readDesign(source);
    if (!base.ok) throw new InputError(source, base.diagnostics);
    checkAxes(source, axes);
    this.design = base.design.name;
    this.usualWarnings = new Set(warningsOf(base.design));
    this.caches = new SweptCaches(base.file, trace);
    const pools = [...new Set(devices.flatMap((device) => device.pools.map(({ name }) => name)))];
    const inputs = new Set(inputsOf(base.file).keys());
    const results = new Set(resultNames(pools, this.caches.names, trace !== null));
    this.conditions = where.flatMap((text) => readConditions(text, { inputs, results }));
    const metrics = (option: string, text: string | undefined) =>
      text === undefined ? null : readMetrics(option, text, [...results, ...inputs]);
    this.pareto = metrics("--pareto", options.pareto);
    this.sort = metrics("--sort", options.sort) ?? [];
    const asked = [...(this.pareto ?? []), ...this.sort].map(({ name }) => name);
    const names = [...asked, ...this.conditions.flatMap((condition) => condition.names)];
    this.wanted = new Set(names.filter((name) => inputs.has(name)));
    this.total = combinationCount(axes) * devices.length;
  }

  async run(): Promise<Sweep> {
    const { source, axes, devices, jobs = availableParallelism(), engine, deadlineMs, signal } = this.options;
    const threads = Math.max(1, Math.min(jobs, this.total));
    const pool = await packPool(threads, devices);
    const packer = new PartPacker(pool, { engine, deadlineMs });
    const known = new Map(this.options.done?.map((outcome) => [outcome.index, outcome]));
    const stop = () => void pool.close();
    signal?.addEventListener("abort", stop);
    try {
      const left = combinations(source, axes);
      const lines = Array.from({ length: threads * IN_FLIGHT }, async () => {
        for (let next = left.next(); !next.done && !signal?.aborted; next = left.next()) {
          await this.combination(next.value, packer, known);
        }
      });
      await Promise.all(lines);
    } catch (error) {
      // Whatever was being packed when the threads were ended.
      if (!signal?.aborted) throw error;
    } finally {
      signal?.removeEventListener("abort", stop);
      await pool.close();
    }
    const accesses = signal?.aborted ? null : await this.simulated(signal);
    return this.result(packer.distinct, accesses);
  }

  /** The trace's accesses, or null where it was interrupted. */
  private async simulated(signal: AbortSignal | undefined) {
    try {
      return await this.caches.simulate(signal);
    } catch (error) {
      if (signal?.aborted) return null;
      throw error;
    }
  }

  private async combination(
    { index, values, read }: Combination,
    packer: PartPacker,
    known: ReadonlyMap<number, SweepOutcome>,
  ): Promise<void> {
    const { devices } = this.options;
    const place = index * devices.length;
    if (!read.ok) {
      this.problems.push({ index: place, values, device: null, problem: read.problem });
      this.advance(devices.length);
      return;
    }
    const inputs = inputsOf(read.file);
    this.inputs.set(index, new Map([...this.wanted].map((name) => [name, inputs.get(name) ?? null])));
    this.caches.add(index, read.file);
    const all = devices.map(async (device, i) => {
      const entry = { index: place + i, values, device: device.name };
      const look = (name: string) => (name === "device" ? device.name : (inputs.get(name) ?? null));
      if (!this.conditions.every((condition) => condition.usesResults || condition.holds(look))) {
        this.leftOut += 1;
        return this.advance(1);
      }
      const earlier = known.get(entry.index);
      const diagnostics = earlier === undefined ? checkAgainstDevice(read, device) : [];
      if (hasErrors(diagnostics)) {
        this.problems.push({ ...entry, problem: firstProblem(diagnostics, read.source.text) });
        return this.advance(1);
      }
      const outcome = earlier ?? (await this.packOne(entry, read.design, device, packer));
      if ("problem" in outcome) this.problems.push(outcome);
      else this.packed.push(outcome);
      if (earlier === undefined) this.options.onOutcome?.(outcome);
      this.advance(1);
    });
    await Promise.all(all);
  }

  private async packOne(
    entry: Pick<PackedRow, "index" | "values" | "device">,
    design: Design,
    device: Device,
    packer: PartPacker,
  ): Promise<SweepOutcome> {
    const packed = await packer.pack(design, device);
    if (packed.status === "nothing-legal") {
      return { ...entry, problem: `${packed.memory}: ${packed.reason}` };
    }
    const warnings = warningsOf(design).filter((warning) => !this.usualWarnings.has(warning));
    const { status, usage, failures } = packed;
    return { ...entry, status, usage, warnings: [...warnings, ...failures] };
  }

  private advance(count: number): void {
    this.done += count;
    this.options.onProgress?.({ done: this.done, total: this.total });
  }

  private result(partsPacked: number, accesses: Record<AccessKind, number> | null): Sweep {
    const { axes, devices, trace, signal } = this.options;
    const interrupted = signal?.aborted === true;
    const byIndex = (a: { readonly index: number }, b: { readonly index: number }) => a.index - b.index;
    const problems = this.problems.sort(byIndex);
    if (!interrupted && this.packed.length === 0 && this.leftOut === 0 && problems.length > 0) {
      const { values, problem } = problems[0]!;
      throw new OptionError(
        "wrong-option-value",
        `no combination can be packed: ${valuesText(values)}${problem}`,
      );
    }
    const all = this.packed.sort(byIndex).map((row): SweepRow => {
      const combination = Math.floor(row.index / devices.length);
      const caches = this.caches.figures(combination);
      return { ...row, ...figuresOf(row), caches, pareto: null, smallestDevice: null };
    });
    const rows = all.filter((row) =>
      this.conditions.every((condition) => !condition.usesResults || condition.holds(this.look(row))),
    );
    const marked = this.withSmallest(this.withPareto(rows));
    if (this.sort.length > 0) {
      const costs = new Map(marked.map((row) => [row, this.costs(this.sort, row)]));
      marked.sort((a, b) => compareCosts(costs.get(a)!, costs.get(b)!));
    }
    return {
      format: "ramtailor-sweep/1",
      design: this.design,
      axes,
      devices: devices.map((device) => ({ name: device.name, blockBits: blockBitsOf(device) })),
      total: this.total,
      rows: marked,
      leftOut: this.leftOut + all.length - rows.length,
      problems,
      pareto: this.pareto,
      varyingCaches: this.caches.varying(),
      trace:
        trace === undefined || accesses === null
          ? null
          : { file: trace.file, accesses, behind: Object.fromEntries(trace.behind ?? []) },
      partsPacked,
      interrupted,
    };
  }

  /** The values of names in a row. */
  private look(row: SweepRow): (name: string) => NameValue {
    const inputs = this.inputs.get(Math.floor(row.index / this.options.devices.length))!;
    return (name) =>
      name === "device" ? row.device : inputs.has(name) ? inputs.get(name)! : resultOf(row, name);
  }

  private costs(metrics: readonly Metric[], row: SweepRow): number[] {
    const look = this.look(row);
    return metrics.map((metric) => metricCost(metric, look(metric.name)));
  }

  private withPareto(rows: readonly SweepRow[]): SweepRow[] {
    const metrics = this.pareto;
    if (metrics === null) return [...rows];
    const fitting = rows.filter((row) => row.fits);
    const marks = paretoMarks(fitting.map((row) => this.costs(metrics, row)));
    const best = new Set(fitting.filter((_, i) => marks[i]));
    return rows.map((row) => ({ ...row, pareto: best.has(row) }));
  }

  private withSmallest(rows: readonly SweepRow[]): SweepRow[] {
    const { devices } = this.options;
    if (devices.length === 1) return [...rows];
    const bits = new Map(devices.map((device) => [device.name, blockBitsOf(device)]));
    const combination = (row: SweepRow) => Math.floor(row.index / devices.length);
    const smallest = new Map<number, SweepRow>();
    for (const row of rows) {
      const best = smallest.get(combination(row));
      const better = best === undefined || bits.get(row.device)! < bits.get(best.device)!;
      if (row.fits && better) smallest.set(combination(row), row);
    }
    return rows.map((row) => ({ ...row, smallestDevice: smallest.get(combination(row)) === row }));
  }
}

function warningsOf(design: Design): string[] {
  return design.warnings.map(({ subject, message }) => `${subject}: ${message}`);
}

/** `l1d.ways = 3: `; "" for no value. */
function valuesText(values: PackedRow["values"]): string {
  const parts = Object.entries(values).map(([path, value]) => `${path} = ${value}`);
  return parts.length === 0 ? "" : `${parts.join(", ")}: `;
}
