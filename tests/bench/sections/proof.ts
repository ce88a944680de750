/**
 * How many systems are proven within 10 s each. The clock runs over all that `pack` does: candidates, program, solve,
 * placing, check. Generating the system is not counted. One system at a time; the engine's thread is the second core.
 */
import { type Design, type Device, type Plan, pack } from "../../../src/index.js";
import { proofOptions } from "../catalogue.js";
import { type Misses, printTable, type SectionOptions, seedsOf, short, writeData } from "../section.js";
import { median, tally, timed } from "../statistics.js";
import { systemOf } from "../systems.js";

const DEADLINE_MS = 10_000;

async function prove(seed: number) {
  const { design, device, budget } = await systemOf(seed, proofOptions(seed));
  const { ms, result: plan } = await timed(() => packed(design, device));
  if (typeof plan === "string") {
    const figures = { value: 0, bound: 0, gap: 1, proven: false, inTime: true, expected: false };
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
  const { value, bound, proven } = plan.objective;
  const expected = budget === "infeasible" ? plan.status === "over-budget" : plan.status !== "over-budget";
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
    proven,
    inTime: ms <= DEADLINE_MS,
    expected,
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

const HEAD = ["seed", "device", "budget", "memories", "ms", "status", "proven", "gap %", "engine"];

function row({
  seed,
  device,
  budget,
  memories,
  ms,
  status,
  proven,
  gap,
  engine,
}: Proof): (string | number)[] {
  return [seed, device, budget, memories, short(ms), status, proven ? "yes" : "NO", short(100 * gap), engine];
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
  console.log(`\nproven within ${DEADLINE_MS / 1000} s: ${found.length - failed.length} of ${found.length}`);
  writeData("proof", { goal: "all proven within 10 s", rate, engines, systems: found });
  return failed.length === 0
    ? []
    : [
        `proof: ${failed.length} of ${found.length} not proven in time: seeds ${failed.map(({ seed }) => seed).join(", ")}`,
      ];
}
