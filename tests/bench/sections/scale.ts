/**
 * Growth with cores and with distinct memories. Clocks run over all that `pack` does, modules loaded. The cores are those of
 * designs/correlator-array.yaml, its 64 written as another number, on its device with ample blocks and logic, so that all
 * sizes do the same work (`ample`), and on the device as it is, where the larger ones do not fit (`as it is`).
 */
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { type Design, type Device, findDevice, pack, planJson, readDesign } from "../../../src/index.js";
import { boundless } from "../../support/random-designs.js";
import { curveSvg, type Line } from "../curve.js";
import {
  type Misses,
  printTable,
  repositoryPath,
  type SectionOptions,
  short,
  writeData,
  writeOutput,
} from "../section.js";
import { median, timed } from "../statistics.js";

const CORES = [1, 16, 256, 4096];
const ROUNDS = 9;
const SIZES = [10, 30, 100, 300, 1000];
const CURVES = [
  { device: "10ax115", budget: "free", colour: "#1b6ca8" },
  { device: "mpf300t", budget: "free", colour: "#b8561b" },
  { device: "xcku5p", budget: "bound", colour: "#5a8f29" },
] as const;

function correlator(cores: number): Design {
  const file = repositoryPath("designs/correlator-array.yaml");
  const text = readFileSync(file, "utf8").replaceAll("instances: 64", `instances: ${cores}`);
  const read = readDesign({ file, text });
  if (!read.ok) throw new Error(`the correlator of ${cores} cores is not read`);
  return read.design;
}

async function coresOn(device: Device) {
  const designs = CORES.map(correlator);
  const times = CORES.map((): number[] => []);
  const sizes = CORES.map(() => 0);
  const engines = CORES.map(() => "");
  const statuses = CORES.map(() => "");
  // Rounds, not sizes one after the other: a busy machine then slows all alike. The first round warms up.
  for (let round = 0; round <= ROUNDS; round++) {
    for (const [index, design] of designs.entries()) {
      const { ms, result } = await timed(() => pack(design, device));
      if (round === 0) sizes[index] = planJson(result).length;
      else times[index]!.push(ms);
      engines[index] = result.solver.engine;
      statuses[index] = result.status;
    }
  }
  return CORES.map((cores, index) => ({
    cores,
    ms: median(times[index]!),
    characters: sizes[index]!,
    status: statuses[index]!,
    engine: engines[index]!,
  }));
}

interface Point {
  readonly memories: number;
  readonly device: string;
  readonly budget: string;
  readonly ms: number;
  readonly status: string;
  readonly engine: string;
  readonly proven: boolean;
  readonly gap: number;
  readonly mostKiB: number;
}

function pointOf(memories: number, device: string, budget: string): Point | { readonly failed: string } {
  const child = repositoryPath("tests/bench/scale-child.ts");
  try {
    const out = execFileSync(
      process.execPath,
      [...process.execArgv, child, String(memories), device, budget],
      {
        encoding: "utf8",
        timeout: 300_000,
        stdio: ["ignore", "pipe", "pipe"],
        cwd: repositoryPath("."),
      },
    );
    return JSON.parse(out.trim().split("\n").at(-1)!) as Point;
  } catch (error) {
    return { failed: error instanceof Error ? error.message.slice(0, 400) : String(error) };
  }
}

/** Issue item 3: flat in cores; 1,000 distinct memories within a minute, 1 GiB and a gap of 1 %; the growth curve. */
export async function scale(options: SectionOptions): Promise<Misses> {
  const misses: string[] = [];
  const device = findDevice("xczu7ev");
  const ample = await coresOn(boundless(device));
  const real = await coresOn(device);
  const last = (list: typeof ample) => list.at(-1)!;
  const ratios = {
    time: last(ample).ms / ample[0]!.ms,
    output: last(ample).characters / ample[0]!.characters,
  };
  const realRatios = {
    time: last(real).ms / real[0]!.ms,
    output: last(real).characters / real[0]!.characters,
  };
  printTable(
    "The correlator array by cores",
    [
      "cores",
      "ample: ms",
      "characters",
      "status",
      "engine",
      "as it is: ms",
      "characters",
      "status",
      "engine",
    ],
    ample.map((each, index) => [
      each.cores,
      short(each.ms),
      each.characters,
      each.status,
      each.engine,
      short(real[index]!.ms),
      real[index]!.characters,
      real[index]!.status,
      real[index]!.engine,
    ]),
  );
  console.log(`from 1 to 4,096 cores: time x${short(ratios.time)}, output x${short(ratios.output)} (ample)`);
  console.log(
    `from 1 to 4,096 cores: time x${short(realRatios.time)}, output x${short(realRatios.output)} (as it is)`,
  );
  if (ratios.time > 1.5) misses.push(`scale: time grows ${short(ratios.time)} times from 1 to 4,096 cores`);
  if (ratios.output > 1.5)
    misses.push(`scale: output grows ${short(ratios.output)} times from 1 to 4,096 cores`);

  const points: Point[] = [];
  for (const { device: name, budget } of CURVES) {
    for (const size of SIZES.filter((each) => each <= options.most)) {
      const what = `scale: ${size} memories on ${name}, ${budget}`;
      const point = pointOf(size, name, budget);
      if ("failed" in point) {
        misses.push(`${what}: ${point.failed}`);
        continue;
      }
      points.push(point);
      console.log(JSON.stringify(point));
      if (point.ms > 60_000) misses.push(`${what}: ${short(point.ms / 1000)} s`);
      if (point.gap >= 0.01 && !point.proven) misses.push(`${what}: gap ${short(100 * point.gap)} %`);
      if (point.mostKiB > 1024 ** 2) misses.push(`${what}: ${short(point.mostKiB / 1024)} MiB`);
    }
  }
  printTable(
    "Growth with distinct memories",
    ["memories", "device", "budget", "s", "status", "proven", "gap %", "MiB", "engine"],
    points.map((point) => [
      point.memories,
      point.device,
      point.budget,
      short(point.ms / 1000),
      point.status,
      point.proven ? "yes" : "no",
      short(100 * point.gap),
      Math.round(point.mostKiB / 1024),
      point.engine,
    ]),
  );
  const lines = CURVES.map(
    ({ device: name, budget, colour }): Line => ({
      name: `${name}, budgets ${budget === "free" ? "slack" : "tight"}`,
      colour,
      points: points
        .filter((point) => point.device === name && point.budget === budget)
        .map((point) => [point.memories, point.ms / 1000] as const),
    }),
  ).filter((line) => line.points.length > 0);
  if (points.length > 0) writeOutput("growth.svg", curveSvg("Time to pack, by distinct memories", lines));
  writeData("scale", { goal: "see issue item 3", ratios, realRatios, ample, real, points });
  return misses;
}
