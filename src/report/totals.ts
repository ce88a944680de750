import type { Plan } from "../model/index.js";
import { type Column, fitted, grid, prose } from "./grid.js";
import { paint } from "./paint.js";
import { counted, figure, listed, percent, plain } from "./text.js";

/** One budget that the plan draws on: a pool of blocks, the logic, or the logic that can be memory. */
export interface Budget {
  readonly name: string;
  readonly used: number;
  readonly available: number;
  /** The bits held there over the bits of a block, rounded up; null for logic. */
  readonly floor: number | null;
}

/** Every budget of a plan: the pools in the order of the device, then logic units, then LUT memory if limited. */
export function budgets(plan: Plan): Budget[] {
  const { totals } = plan;
  const names = [...new Set([...Object.keys(totals.available), ...Object.keys(totals.blocks)])];
  const rows: Budget[] = names.map((name) => ({
    name,
    used: totals.blocks[name] ?? 0,
    available: totals.available[name] ?? 0,
    floor: totals.floorBlocks[name] ?? 0,
  }));
  rows.push({ name: "LUTs", used: totals.luts, available: totals.lutsAvailable, floor: null });
  if (totals.lutMemoryAvailable !== null) {
    const available = totals.lutMemoryAvailable;
    rows.push({ name: "LUTs as memory", used: totals.lutMemory, available, floor: null });
  }
  return rows;
}

/** The totals table and, below it, whether the plan fits and whether it is proven least. */
export function totalsText(plan: Plan, width: number, color: boolean): string {
  const { good, bad } = paint(color);
  const rows = budgets(plan);
  const columns: Column[] = [
    { head: "budget", width: 30 },
    { head: "used", width: 12, align: "right" },
    { head: "available", width: 12, align: "right" },
    { head: "share", width: 7, align: "right" },
    { head: "floor", width: 12, align: "right" },
    { head: "", width: 16 },
  ];
  const cells = rows.map(({ name, used, available, floor }) => [
    plain(name),
    figure(used, 1),
    figure(available, 1),
    available === 0 ? "-" : percentOver(used, available),
    floor === null ? "-" : figure(floor, 1),
    used > available ? bad(`${figure(used - available, 1)} over`) : "",
  ]);
  const over = rows.filter((row) => row.used > row.available);
  const tooMany = `${listed(over.map((row) => `${figure(row.used - row.available, 1)} ${plain(row.name)}`))} too many`;
  const fits =
    plan.status !== "over-budget" && over.length === 0
      ? good("Fits.")
      : plan.objective.proven || plan.objective.nothingFits
        ? `${bad("Does not fit:")} ${tooMany}.`
        : `${bad("No plan that fits was found:")} ${tooMany} in the best so far.`;
  return [
    grid(fitted(columns, cells, width), cells, color),
    "",
    prose(`${fits} ${proofSentence(plan)}`, width),
    prose(wasteSentence(plan), width),
  ].join("\n");
}

function percentOver(used: number, available: number): string {
  return used > available ? `${figure(Math.round((100 * used) / available))}%` : percent(used, available);
}

function proofSentence(plan: Plan): string {
  const { value, bound, proven, nothingFits, lutsBound } = plan.objective;
  const figures = `objective ${figure(value, 3)}, lower bound ${figure(bound, 3)}`;
  const least = plan.status === "over-budget" ? "No plan overruns less" : "No plan takes less";
  if (proven) return `${least}: proven optimal (${figures}).`;
  if (value <= bound) {
    const logic =
      lutsBound === null
        ? "the logic is not"
        : `its LUTs are not: ${figure(plan.totals.luts)}, lower bound ${figure(lutsBound)}`;
    return `Not proven optimal: fewest blocks are proven (${figures}), ${logic}.`;
  }
  if (nothingFits) return "That no plan fits is proven; that none overruns less is not.";
  return `Not proven optimal: ${figures}, gap ${figure((100 * (value - bound)) / value, 1)} %.`;
}

function wasteSentence({ totals }: Plan): string {
  if (totals.blockBits === 0) return "No block is in use.";
  const share = (bits: number) => percent(bits, totals.blockBits);
  const outside =
    totals.logicBits > 0 ? ` ${counted(totals.logicBits, "bit")} more are held outside blocks.` : "";
  return (
    `Blocks in use hold ${counted(totals.blockBits, "bit")}: ${share(totals.requestedBits)} used; wasted: ` +
    `copies ${share(totals.waste.replication)}, width ${share(totals.waste.widthPadding)}, ` +
    `depth ${share(totals.waste.depthPadding)}, lost ${share(totals.waste.unreachable)}.${outside}`
  );
}
