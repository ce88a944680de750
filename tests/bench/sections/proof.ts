/**
 * How many systems are proven within 10 s each: proven optimal in blocks, LUTs and cascade, or proven over budget (no plan fits). Whether the plan
 * that overruns least is also proven is told apart. The clock runs over all that `pack` does: candidates, program, solve,
 * placing, check; so the deadline for all but the last two is half a second less. Generating the system is not counted. One system at a time; the
 * engine's thread is the second core.
 */
import { type Design, type Device, type Plan, pack } from "../../../src/index.js";
import { proofOptions } from "../catalogue.js";
import { type Misses, printTable, type SectionOptions, seedsOf, short, writeData } from "../section.js";
import { median, tally, timed } from "../statistics.js";
import { systemOf } from "../systems.js";

const WITHIN_MS = 10_000;
/** Placing and checking come after it, and an engine's thread may be ended late. */
const DEADLINE_MS = 9_700;

async function prove(seed: number) {
  const { design, device, budget } = await systemOf(seed, proofOptions(seed));
  const { ms, result: plan } = await timed(() => packed(design, device));
  if (typeof plan === "string") {
    const none = { value: 0, bound: 0, gap: 1, luts: 0, lutsBound: null, lutGap: null };
    const figures = {
      ...none,
      proven: false,
      fewest: false,
      leastOverrun: null,
      inTime: true,
      expected: false,
    };
    return {
      seed,
      device: device.name,
      budget,
      memories: design.requests.length,
      status: "broken",
      engine: plan,
      ms,
      ...figures,
    };
  }
  const { value, bound, lutsBound, nothingFits } = plan.objective;
  const over = plan.status === "over-budget";
  const { luts } = plan.totals;
  return {
    seed,
    device: device.name,
    budget,
    memories: design.requests.length,
    status: plan.status,
    engine: plan.solver.engine,
    ms,
    value,
    bound,
    gap: value === 0 ? 0 : (value - bound) / value,
    luts,
    lutsBound,
    /** null: the blocks are not proven least. */
    lutGap: lutsBound === null ? null : luts === 0 ? 0 : (luts - lutsBound) / luts,
    proven: over ? nothingFits : plan.objective.proven,
    /** Whether it is proven that no plan has fewer blocks, or that none fits. */
    fewest: over ? nothingFits : bound >= value,
    /** null: the plan fits. */
    leastOverrun: over ? plan.objective.proven : null,
    inTime: ms <= WITHIN_MS,
    expected: over === (budget === "infeasible"),
  };
}

/** A plan, or what the packer threw: a system that breaks it is a failure to name, not the end of the run. */
async function packed(design: Design, device: Device): Promise<Plan | string> {
  try {
    return await pack(design, device, { deadlineMs: DEADLINE_MS });
  } catch (error) {
    return String(error);
  }
}

type Proof = Awaited<ReturnType<typeof prove>>;

const HEAD = ["seed", "device", "budget", "memories", "ms", "status", "proven", "gap %", "LUTs' %", "engine"];

function row({
  seed,
  device,
  budget,
  memories,
  ms,
  status,
  proven,
  gap,
  lutGap,
  engine,
}: Proof): (string | number)[] {
  const gaps = [gap, lutGap].map((each) => (each === null ? "-" : short(100 * each)));
  return [seed, device, budget, memories, short(ms), status, proven ? "yes" : "NO", ...gaps, engine];
}

/** Issue item 2: all of 300 systems on at least 6 devices proven optimal or over budget within 10 s each. */
export async function proof(options: SectionOptions): Promise<Misses> {
  await prove(0);
  const found: Proof[] = [];
  for (const seed of seedsOf(options, 300)) {
    const each = await prove(seed);
    found.push(each);
    console.log(row(each).join("  "));
  }
  const failed = found.filter(({ proven, inTime, expected }) => !proven || !inTime || !expected);
  printTable(
    "The slowest ten",
    HEAD,
    [...found]
      .sort((a, b) => b.ms - a.ms)
      .slice(0, 10)
      .map(row),
  );
  if (failed.length > 0) printTable("Not proven, late, or not as generated", HEAD, failed.map(row));
  const engines = tally(found.map(({ engine }) => engine));
  printTable(
    "What closed them",
    ["engine", "systems", "median ms", "most ms"],
    engines.map(([engine, count]) => {
      const times = found.filter((each) => each.engine === engine).map(({ ms }) => ms);
      return [engine, count, short(median(times)), short(Math.max(...times))];
    }),
  );
  const devices = tally(found.map(({ device }) => device));
  printTable(
    "By device",
    ["device", "systems", "proven in time", "median ms", "most ms"],
    devices.map(([device, count]) => {
      const own = found.filter((each) => each.device === device);
      const times = own.map(({ ms }) => ms);
      const proven = own.filter((each) => !failed.includes(each)).length;
      return [device, count, proven, short(median(times)), short(Math.max(...times))];
    }),
  );
  const rate = (found.length - failed.length) / found.length;
  console.log(`\nproven within ${WITHIN_MS / 1000} s: ${found.length - failed.length} of ${found.length}`);
  const fewest = found.filter((each) => each.fewest && each.inTime);
  console.log(`no plan has fewer blocks, or none fits, proven for ${fewest.length}`);
  const overBudget = found.filter(({ leastOverrun }) => leastOverrun !== null);
  const least = overBudget.filter(({ leastOverrun }) => leastOverrun === true).length;
  console.log(`of ${overBudget.length} plans over budget, proven to overrun least: ${least}`);
  const fewestRate = fewest.length / found.length;
  writeData("proof", { goal: "all proven within 10 s", rate, fewestRate, engines, systems: found });
  return failed.length === 0
    ? []
    : [
        `proof: ${failed.length} of ${found.length} not proven in time: seeds ${failed.map(({ seed }) => seed).join(", ")}`,
      ];
}
