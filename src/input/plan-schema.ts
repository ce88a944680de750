import * as z from "zod";
import { type Plan, REALISATIONS, SHAPE_PATTERN } from "../model/index.js";

/** The one format of plans that is read. */
export const PLAN_FORMAT = "ramtailor-plan/1" satisfies Plan["format"];

const name = z.string().min(1).max(200);
/** A whole number from 0 that a double holds exactly. */
const whole = z.int().min(0);
const positive = z.int().min(1);
const number = z.number().min(0);
const byPool = z.record(name, number);

const interval = z
  .tuple([whole, whole])
  .refine(([first, last]) => first <= last, { error: "expected the first, then the last, both included" })
  .describe("First and last, both included; the last is no less than the first.");

const shape = z.string().regex(new RegExp(SHAPE_PATTERN), { error: "expected a shape such as 1024x18" });

const waste = z.strictObject({
  replication: whole.describe("Bits of copies made only for more ports."),
  widthPadding: whole.describe("Bits of words in use that hold nothing."),
  depthPadding: whole.describe("Bits of words that hold nothing."),
  unreachable: whole.describe("Bits that the chosen shape cannot address."),
});

const ports = z.strictObject({
  read: whole.describe("Ports that only read."),
  write: whole.describe("Ports that only write."),
  readWrite: whole.describe("Ports that read or write."),
});

const realisation = z.enum(REALISATIONS);

const tile = z.strictObject({
  kind: name.describe("Block kind."),
  shape: shape.describe("Words x bits that the block is used at, for example 1024x18."),
  count: positive.describe("Tiles of this shape in one instance, all copies; a shared one counts as one."),
  deep: positive.describe("Most blocks one above the other, in these tiles."),
});

const layout = z.strictObject({
  instances: interval.describe("First and last of the instances that are laid out so, from 0."),
  realisation: realisation.describe("How the ports are made."),
  home: name.describe("A pool, LUT or registers."),
  copies: positive.describe("Copies of an instance, made for ports."),
  pump: positive.describe("Times that its blocks are clocked faster than the design; 1: not pumped."),
  stored: z
    .strictObject({ depth: positive.describe("Words."), width: positive.describe("Bits of a word.") })
    .describe("Geometry that rows and bits of the tenants count in."),
  tiles: z.array(tile).describe("Tiles of all copies of one instance, by kind and shape."),
  cascade: whole.describe("Most blocks one above the other behind a multiplexer; 1: none, 0: no blocks."),
  luts: whole.describe("Logic units of one instance."),
  lutMemory: whole.describe("Logic units of one instance that are LUT memory."),
  registers: whole.describe("Flip-flops of one instance."),
});

const memory = z.strictObject({
  name: name.describe("Name of the memory, unique in the plan."),
  structure: name.nullable().describe("Structure that it was derived from; null: written by hand."),
  depth: positive.describe("Words."),
  width: positive.describe("Bits of a word."),
  ports: ports.describe("Ports of each direction."),
  lane: positive.nullable().describe("Bits under one write enable; null: the whole word."),
  instances: positive.describe("Identical copies in the system."),
  copies: positive.describe("Most copies of an instance, made for ports."),
  realisation: realisation.describe("How the ports of the first layout are made."),
  blocks: byPool.describe("Blocks by pool; a shared one counts in proportion, to 1/1000."),
  requestedBits: whole.describe("Bits of the instances that are in blocks, one copy."),
  wastedBits: whole.describe("Block bits charged to it minus requested bits."),
  waste: waste.describe("The wasted bits by cause."),
  cascade: whole.describe("Most blocks one above the other behind a multiplexer."),
  luts: whole.describe("Logic units of all instances."),
  registers: whole.describe("Flip-flops of all instances."),
  layouts: z.array(layout).min(1).describe("How runs of instances are laid out."),
});

const port = z.enum(["A", "B"]);

const tenant = z.strictObject({
  memory: name.describe("Name of the memory."),
  instance: whole.describe("Instance in the first of the blocks; each further one takes the next."),
  copy: whole.describe("Copy made for ports, from 0."),
  rows: interval.describe("First and last row held, both included."),
  bits: interval.describe("First and last bit held, both included."),
  ports: z.array(port).min(1).max(2).describe("Ports of the block in use."),
  turns: z
    .array(positive)
    .min(1)
    .max(2)
    .describe("For each port, accesses in one cycle of the design's clock."),
  shape: shape.describe("Words x bits of the block as these ports see it."),
  lane: positive.nullable().describe("Hardware write lane in bits; null: one enable for the word."),
  inverted: z.boolean().describe("Whether successive rows go to falling words."),
  word: whole.describe("Word of the block that holds the first row."),
  runs: z
    .array(
      z.strictObject({
        bits: interval.describe("First and last bit of the run."),
        at: whole.describe("Bit of the block's word that holds the first."),
      }),
    )
    .min(1)
    .describe("Where the bits lie in the block's word, ascending; together they are the tenant's bits."),
});

const block = z.strictObject({
  id: name.describe("Unique in the plan."),
  kind: name.describe("Block kind."),
  arrangement: z.enum(["single", "simple-dual", "true-dual"]).describe("How its ports are used."),
  pump: positive.describe("Times that it is clocked faster than the design; 1: not pumped."),
  repeat: positive.describe("Blocks that it stands for; they differ only in the instances they serve."),
  tenants: z.array(tenant).min(1).describe("What lies in it."),
});

const totals = z.strictObject({
  blocks: byPool.describe("Blocks in use by pool; a half counts 0.5."),
  available: byPool.describe("Blocks that the design may use, by pool."),
  over: byPool.describe("Blocks over what is available, by pool; only pools that are over."),
  requestedBits: whole.describe("Bits of memories in blocks, one copy of each instance."),
  blockBits: whole.describe("Bits of all blocks in use."),
  wastedBits: whole.describe("Block bits minus requested bits."),
  waste: waste.describe("The wasted bits by cause."),
  efficiency: z.number().min(0).max(1).describe("Requested bits over block bits; 1 where there is no block."),
  floorBlocks: byPool.describe("Bits held in a pool over the bits of a block, rounded up."),
  logicBits: whole.describe("Bits held outside blocks."),
  luts: whole.describe("Logic units in use."),
  lutsAvailable: whole.describe("Logic units that may be used."),
  lutMemory: whole.describe("Logic units in use as LUT memory."),
  lutMemoryAvailable: whole.nullable().describe("Logic units that can be memory; null: any."),
  registers: whole.describe("Flip-flops in use."),
});

/** The form of a saved plan: what `planJson` writes. A key that it does not have is an error. */
export const planSchema = z.strictObject({
  format: z.literal(PLAN_FORMAT).describe("Name and version of this format."),
  design: name.describe("Name of the design."),
  device: name.describe("Name of the device."),
  status: z
    .enum(["optimal", "feasible", "over-budget"])
    .describe("optimal: proven; feasible: fits, not proven; over-budget: overruns least."),
  totals: totals.describe("What the whole plan uses."),
  objective: z
    .strictObject({
      value: number.describe("Weighted block units."),
      bound: number.describe("Proven lower bound on the value."),
      proven: z.boolean().describe("Whether blocks, logic and cascade are all proven least."),
      nothingFits: z
        .boolean()
        .default(false)
        .describe("Whether it is proven that no plan keeps all budgets."),
      lutsBound: number
        .nullable()
        .default(null)
        .describe("LUTs that every plan of so many weighted blocks takes at least; null: not known."),
    })
    .describe("What was made least."),
  memories: z.array(memory).describe("Every memory, with what it takes."),
  blocks: z.array(block).describe("Every block in use, with what lies where in it."),
  warnings: z
    .array(
      z.strictObject({
        subject: z.string().describe("The memory or structure that it is about."),
        message: z.string().describe("What to know of it."),
      }),
    )
    .describe("What the user should know."),
  solver: z
    .strictObject({
      engine: z.string().describe("What closed it."),
      milliseconds: z.number().min(0).describe("Time that it took."),
    })
    .describe("How it was found."),
}) satisfies z.ZodType<Plan>;
