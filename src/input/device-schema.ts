import * as z from "zod";
import { type Arrangement, parseShape, SHAPE_PATTERN, type Shape } from "../model/index.js";

/** Bits of the largest block that a file may describe: 1 Gbit, far over any block. */
const MOST_BITS = 2 ** 30;
/** Largest count of blocks, logic units or shapes' words that a file may give. */
const MOST = 2 ** 30;
/** Widest word of a block that a file may describe, in bits. */
const WIDEST = 1024;

const name = z.string().min(1).max(64);
const count = z.int().min(1).max(MOST);
const source = z
  .union([z.string(), z.array(z.string()).min(1)])
  .optional()
  .describe("Key of the document in sources that these figures come from, or a list of keys.");

/** A value written plain, or as `{ value, source }`; both are read as the second. */
function fact<T extends z.ZodType>(value: T) {
  const plain = value.transform((v) => ({ value: v as z.output<T>, source: undefined }));
  return z.union([z.strictObject({ value: value.describe("The figure."), source }), plain]);
}

const shapeText = z.string().meta({ pattern: SHAPE_PATTERN });
const shape = shapeText.transform((text, context): Shape => {
  const read = parseShape(text);
  if (read !== null && read.depth <= MOST && read.width <= WIDEST) return read;
  const message = `expected a shape of words x bits such as 1024x18, at most ${WIDEST} bits wide, found ${JSON.stringify(text.slice(0, 40))}`;
  context.issues.push({ code: "custom", message, input: text });
  return z.NEVER;
});

const arrangement = z.enum(["single", "simple-dual", "true-dual"] satisfies Arrangement[]);
const readDuringWrite = z.array(z.enum(["new", "old", "hold", "undefined"])).min(1);

const block = () =>
  z.strictObject({
    name: name.describe("Name of the block kind, unique in the file."),
    pool: name.describe("Pool that blocks of this kind are taken from."),
    units: fact(count).optional().describe("Units of the pool that one block takes. Default 1."),
    bits: fact(z.int().min(1).max(MOST_BITS)).describe("Usable bits of one block."),
    shapes: z
      .array(
        z.strictObject({
          shapes: z
            .array(shape)
            .min(1)
            .describe("Words x bits, for example 1024x18; none holds more than the block."),
          family: name.describe(
            "Parity family: the two ports of a block may differ in width only within one.",
          ),
          arrangements: z.array(arrangement).min(1).describe("How the ports are used at these shapes."),
          source,
        }),
      )
      .min(1)
      .describe("Shapes that the block offers, in groups of one family and the same arrangements."),
    lanes: z
      .array(
        z.strictObject({
          widths: z.array(count).min(1).describe("Widths of shapes, in bits."),
          lanes: z
            .array(count)
            .min(1)
            .describe("Bits under one write enable, each a divisor of the widths and narrower."),
          source,
        }),
      )
      .default([])
      .describe("Hardware write lanes, by width. What is not listed has one enable for the word."),
    mixed_widths: z
      .strictObject({
        "simple-dual": z.boolean().describe("Whether the write and the read port may differ."),
        "true-dual": z.boolean().describe("Whether the two ports may differ."),
        source,
      })
      .default({ "simple-dual": false, "true-dual": false, source: undefined })
      .describe("Whether the two ports may have different widths, within one family. Default: neither."),
    fixed_side: z
      .strictObject({ widths: z.array(count).min(1).describe("Widths of shapes, in bits."), source })
      .optional()
      .describe("Widths at which one side has to stay where either side uses it. Default: none."),
    asynchronous_read: fact(z.boolean())
      .optional()
      .describe("Whether a read can be asynchronous. Default false."),
    initial_contents: fact(z.boolean())
      .optional()
      .describe("Whether contents at start can be set, which a ROM needs. Default false."),
    clocks: fact(z.union([z.literal(1), z.literal(2)]))
      .optional()
      .describe("2 where the ports may have different clocks. Default 1."),
    output_register: fact(z.enum(["optional", "always", "none"]))
      .optional()
      .describe("Whether the block has an output register. Default none."),
    read_during_write: z
      .strictObject({
        same_port: readDuringWrite.describe("What the port that writes may show."),
        other_port: readDuringWrite.describe("What the other port may show."),
        source,
      })
      .optional()
      .describe("What a port may show for the word that is being written. Default: undefined."),
    max_clock_mhz: fact(z.number().positive().max(1e6).nullable())
      .optional()
      .describe("Fastest clock in MHz; null: not known."),
    free_cascade: z
      .array(
        z.strictObject({
          shape: shape.describe("Words x bits at which they join."),
          blocks: z.int().min(2).max(1024).describe("Blocks that join."),
          source,
        }),
      )
      .default([])
      .describe("Blocks that join in depth without a multiplexer in logic. Default: none."),
  });

const lutMemory = () =>
  z.strictObject({
    name: name.describe("What the family calls its LUT memory."),
    shapes: z
      .array(
        z.strictObject({
          shapes: z.array(shape).min(1).describe("Words x bits, for example 32x4."),
          arrangements: z
            .array(z.enum(["single", "simple-dual"]))
            .min(1)
            .describe("How the ports of the primitive are used."),
          luts: count.describe("Logic units that one primitive takes."),
          source,
        }),
      )
      .min(1)
      .describe("Primitives of LUT memory."),
  });

const part = () =>
  z.strictObject({
    name: z
      .string()
      .regex(/^[a-z0-9][a-z0-9._-]{0,63}$/, {
        error: (issue) =>
          `expected a name of lower-case letters, digits and . _ -, found ${JSON.stringify(String(issue.input).slice(0, 40))}`,
      })
      .describe("Name that --device takes: lower-case letters, digits and . _ -, unique in the file."),
    number: name.optional().describe("The vendor's part number. Default: the name."),
    blocks: z
      .array(
        z.strictObject({
          pool: name.describe("Name of the pool."),
          count: z.int().min(0).max(MOST).describe("Blocks on the part."),
          source,
        }),
      )
      .describe("Blocks on the part, for each pool once."),
    logic: fact(count).describe("Logic units on the part."),
    lut_memory: fact(count)
      .optional()
      .describe("Logic units that can be memory, at most all. Left out: any."),
  });

/** The whole file; see {@link deviceFileSchema}. */
const form = () =>
  z.strictObject({
    family: name.describe("Name of the family."),
    sources: z
      .record(
        name,
        z.strictObject({
          document: z.string().min(1).describe("Title of the document."),
          mark: z
            .enum(["read", "memory", "estimate", "invented"])
            .describe("read: in the document itself; memory: recalled from it; estimate; invented."),
          note: z.string().optional().describe("Remark."),
        }),
      )
      .default({})
      .describe("Documents that figures come from, by a key of your own."),
    pools: z
      .array(
        z.strictObject({
          name: name.describe("Name of the pool, unique in the file; not LUT or registers."),
          units: count.default(1).describe("Units in one block; kinds take whole units. Default 1."),
          source,
        }),
      )
      .min(1)
      .describe("Budgets of blocks that a part has."),
    blocks: z.array(block()).min(1).describe("Kinds of block RAM."),
    lut_memory: lutMemory().optional().describe("LUT memory of the family. Left out: none."),
    logic: z
      .strictObject({
        unit: name.describe("Name of the unit that logic is counted in, for example LUT4."),
        inputs: fact(z.int().min(2).max(16)).describe("Inputs of one LUT."),
        multiplexers: z
          .array(
            z.strictObject({
              inputs: z.int().min(2).max(1024).describe("Inputs of the multiplexer."),
              luts: count.describe("Logic units that it takes."),
              levels: z.int().min(1).max(64).describe("Levels of logic in series."),
              source,
            }),
          )
          .min(1)
          .describe("Cost of multiplexers of one bit, for some sizes, ascending."),
      })
      .describe("The logic fabric, as far as memories use it."),
    parts: z.array(part()).min(1).describe("Parts of the family, each a device."),
  });

let made: ReturnType<typeof form> | undefined;

/**
 * The form of a device file: one family and its parts. The comment at the top of devices/generic-10k.yaml tells a
 * user how it reads; what is optional takes the careful value that is named there. Figures are checked one by one
 * here, and against each other in device-rules.ts. Made when it is first asked
 * for: the devices that come with the program are read without it.
 */
export function deviceFileSchema(): ReturnType<typeof form> {
  made ??= form();
  return made;
}

/** A device file as its schema reads it, every fact with its source where it has one. */
export type DeviceFile = z.output<ReturnType<typeof form>>;
/** One block kind of a device file. */
export type DeviceFileBlock = DeviceFile["blocks"][number];
