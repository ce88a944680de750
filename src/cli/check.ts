import type { Command } from "commander";
import type { Design, Device } from "../model/index.js";
import { EXIT, type Io } from "./io.js";
import { addPacking, blocksOf, lutsOf, type PackingOptions, shareOf } from "./options.js";
import { UsageError } from "./usage-error.js";

interface CheckOptions extends PackingOptions {
  readonly maxBlocks: ReadonlyMap<string, number>;
  /** A share from 0 to 1. */
  readonly maxWaste?: number;
  readonly maxLuts?: number;
}

/** `check DESIGN`: for build scripts. Exit code 1 and a line for each budget or limit that is broken. */
export function addCheck(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("check")
    .description("say whether a design fits and keeps limits, for build scripts")
    .argument("<design>", "design file")
    .option("--max-blocks <pool=n>", "most blocks of a pool (may be repeated)", blocksOf, new Map())
    .option("--max-waste <percent>", "most wasted bits, of all bits of the blocks in use", shareOf)
    .option("--max-luts <n>", "most logic units for memories and their multiplexers", lutsOf);
  // The empty map is no default that help should print.
  const blocks = command.options.find((option) => option.attributeName() === "maxBlocks")!;
  blocks.defaultValueDescription = "what the design may use";
  addPacking(command).action(async (path: string, options: CheckOptions) => {
    const { planDesign } = await import("./plan-design.js");
    const plan = await planDesign(path, options, io, (design, device) => withLimits(design, device, options));
    const { brokenLimits, limitsJson, limitsText } = await import("../report/limits.js");
    const broken = brokenLimits(plan, options.maxWaste ?? null);
    io.stdout.write(options.json ? limitsJson(plan, broken) : limitsText(plan, broken));
    finish(broken.length > 0 ? EXIT.over : EXIT.done);
  });
}

/**
 * The design with its budgets narrowed to the limits, so that the packing looks for a plan that keeps them rather
 * than judge one that was made without them. A limit never widens a budget.
 */
function withLimits(design: Design, device: Device, options: CheckOptions): Design {
  const pools = device.pools.map((pool) => pool.name);
  const blocks: Record<string, number> = { ...design.limits.blocks };
  for (const [pool, most] of options.maxBlocks) {
    if (!pools.includes(pool)) {
      throw new UsageError(
        "unknown-pool",
        `--max-blocks: ${JSON.stringify(pool)} is no pool of ${device.name}`,
        { word: pool, names: pools, what: "pools" },
      );
    }
    const has = device.pools.find(({ name }) => name === pool)!.blocks;
    blocks[pool] = Math.min(most, blocks[pool] ?? has);
  }
  const luts = options.maxLuts === undefined ? null : options.maxLuts;
  const fewest = [design.limits.luts, luts].filter((limit) => limit !== null);
  return { ...design, limits: { blocks, luts: fewest.length > 0 ? Math.min(...fewest) : null } };
}
