/** Blocks (in weighted units) by hand and by the packer, budgets left out on both sides: see by-hand.ts. */
import { choicesOf } from "../../../src/candidates/index.js";
import {
  type Design,
  type Device,
  findDevice,
  listDevices,
  loadDesign,
  NothingLegalError,
  pack,
} from "../../../src/index.js";
import { boundless } from "../../support/random-designs.js";
import { byHand } from "../by-hand.js";
import { proofOptions } from "../catalogue.js";
import {
  type Misses,
  printTable,
  repositoryPath,
  type SectionOptions,
  seedsOf,
  short,
  writeData,
} from "../section.js";
import { geometricMean } from "../statistics.js";
import { systemOf } from "../systems.js";

const SHIPPED = ["weather-mast", "dish-controller", "correlator-array"];
const DEADLINE_MS = 10_000;

/** All three methods on one design. */
export async function compareByHand(name: string, limited: Design, device: Device) {
  const design = { ...limited, limits: { blocks: {}, luts: null } };
  const ample = boundless(device);
  const plan = await pack(design, ample, { deadlineMs: DEADLINE_MS });
  const hand = byHand(choicesOf(design, ample), design, ample);
  return {
    name,
    device: device.name,
    memories: design.requests.length,
    ...hand,
    packed: plan.objective.value,
    savingOnSpreadsheet: saving(hand.spreadsheet, plan.objective.value),
    savingOnFirstFit: saving(hand.firstFit, plan.objective.value),
  };
}

function saving(theirs: number, ours: number): number {
  return theirs === ours ? 0 : 1 - ours / theirs;
}

type Comparison = Awaited<ReturnType<typeof compareByHand>>;

function row(each: Comparison): (string | number)[] {
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
  return [
    each.name,
    each.device,
    each.memories,
    each.spreadsheet,
    each.firstFit,
    each.packed,
    percent(each.savingOnSpreadsheet),
    percent(each.savingOnFirstFit),
  ];
}

const HEAD = [
  "system",
  "device",
  "memories",
  "spreadsheet",
  "first fit",
  "packed",
  "saved on the first",
  "on the second",
];

/** Issue item 4: the saving is never negative; its geometric mean is reported. */
export async function hand(options: SectionOptions): Promise<Misses> {
  const shipped: Comparison[] = [];
  for (const name of SHIPPED) {
    const { design } = loadDesign(repositoryPath(`designs/${name}.yaml`));
    for (const device of new Set([design.device!, ...listDevices().map((each) => each.name)])) {
      const comparison = await attempt(name, design, findDevice(device));
      if (comparison !== null) shipped.push(comparison);
    }
  }
  const seeded: Comparison[] = [];
  for (const seed of seedsOf(options, 100)) {
    // The budgets are left out: the slack system of the seed's device has the same mix of memories.
    const { design, device } = await systemOf(seed, { ...proofOptions(seed), budget: "slack" });
    seeded.push(await compareByHand(`seed ${seed}`, design, device));
  }
  const all = [...shipped, ...seeded];
  const kept = (list: readonly Comparison[], by: "savingOnSpreadsheet" | "savingOnFirstFit") =>
    1 - geometricMean(list.filter(({ packed }) => packed > 0).map((each) => 1 - each[by]));
  const summary = [["shipped", shipped] as const, ["seeded", seeded] as const].map(([name, list]) => ({
    name,
    systems: list.length,
    savingOnSpreadsheet: kept(list, "savingOnSpreadsheet"),
    savingOnFirstFit: kept(list, "savingOnFirstFit"),
  }));
  printTable("Weighted units of blocks, shipped designs", HEAD, shipped.map(row));
  printTable(
    "Weighted units of blocks, the seeded systems that save least",
    HEAD,
    [...seeded]
      .sort((a, b) => a.savingOnFirstFit - b.savingOnFirstFit)
      .slice(0, 10)
      .map(row),
  );
  printTable(
    "Geometric-mean saving",
    ["systems", "count", "on the spreadsheet", "on first fit"],
    summary.map((each) => [
      each.name,
      each.systems,
      `${short(100 * each.savingOnSpreadsheet)} %`,
      `${short(100 * each.savingOnFirstFit)} %`,
    ]),
  );
  const negative = all.filter((each) => each.packed > Math.min(each.spreadsheet, each.firstFit));
  writeData("hand", { goal: "never negative", summary, negative, systems: all });
  return negative.map(
    ({ name, device }) => `hand: the packer takes more blocks than a designer: ${name} on ${device}`,
  );
}

/** Null where the design has a memory that the device cannot hold. */
async function attempt(name: string, design: Design, device: Device): Promise<Comparison | null> {
  try {
    return await compareByHand(name, design, device);
  } catch (error) {
    if (error instanceof NothingLegalError) return null;
    throw error;
  }
}
