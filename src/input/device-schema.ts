import * as z from "zod";
import { type Arrangement, parseShape, type Shape } from "../model/index.js";

/** Bits of the largest block that a file may describe: 1 Gbit, far over any block. */
const MOST_BITS = 2 ** 30;
/** Largest count of blocks, logic units or shapes' words that a file may give. */
const MOST = 2 ** 30;
/** Widest word of a block that a file may describe, in bits. */
const WIDEST = 1024;

const name = z.string().min(1).max(64);
const count = z.int().min(1).max(MOST);
const source = z.union([z.string(), z.array(z.string()).min(1)]).optional();

/** A value written plain, or as `{ value, source }`; both are read as the second. */
function fact<T extends z.ZodType>(value: T) {
  const plain = value.transform((v) => ({ value: v as z.output<T>, source: undefined }));
  return z.union([z.strictObject({ value, source }), plain]);
}

const shape = z.string().transform((text, context): Shape => {
  const read = parseShape(text);
  if (read !== null && read.depth <= MOST && read.width <= WIDEST) return read;
  const message = `expected a shape of words x bits such as 1024x18, at most ${WIDEST} bits wide, found ${JSON.stringify(text.slice(0, 40))}`;
  context.issues.push({ code: "custom", message, input: text });
  return z.NEVER;
});

const arrangement = z.enum(["single", "simple-dual", "true-dual"] satisfies Arrangement[]);
const readDuringWrite = z.array(z.enum(["new", "old", "hold", "undefined"])).min(1);

const block = z.strictObject({
  name,
  pool: name,
  units: fact(count).optional(),
  bits: fact(z.int().min(1).max(MOST_BITS)),
  shapes: z
    .array(
      z.strictObject({
        shapes: z.array(shape).min(1),
        family: name,
        arrangements: z.array(arrangement).min(1),
        source,
      }),
    )
    .min(1),
  lanes: z
    .array(z.strictObject({ widths: z.array(count).min(1), lanes: z.array(count).min(1), source }))
    .default([]),
  mixed_widths: z
    .strictObject({ "simple-dual": z.boolean(), "true-dual": z.boolean(), source })
    .default({ "simple-dual": false, "true-dual": false, source: undefined }),
  fixed_side: z.strictObject({ widths: z.array(count).min(1), source }).optional(),
  asynchronous_read: fact(z.boolean()).optional(),
  initial_contents: fact(z.boolean()).optional(),
  clocks: fact(z.union([z.literal(1), z.literal(2)])).optional(),
  output_register: fact(z.enum(["optional", "always", "none"])).optional(),
  read_during_write: z
    .strictObject({ same_port: readDuringWrite, other_port: readDuringWrite, source })
    .optional(),
  max_clock_mhz: fact(z.number().positive().max(1e6).nullable()).optional(),
  free_cascade: z.array(z.strictObject({ shape, blocks: z.int().min(2).max(1024), source })).default([]),
});

const lutMemory = z.strictObject({
  name,
  shapes: z
    .array(
      z.strictObject({
        shapes: z.array(shape).min(1),
        arrangements: z.array(z.enum(["single", "simple-dual"])).min(1),
        luts: count,
        source,
      }),
    )
    .min(1),
});

const part = z.strictObject({
  name: z.string().regex(/^[a-z0-9][a-z0-9._-]{0,63}$/, {
    error: (issue) =>
      `expected a name of lower-case letters, digits and . _ -, found ${JSON.stringify(String(issue.input).slice(0, 40))}`,
  }),
  number: name.optional(),
  blocks: z.array(z.strictObject({ pool: name, count: z.int().min(0).max(MOST), source })),
  logic: fact(count),
  lut_memory: fact(count).optional(),
});

/**
 * The form of a device file: one family and its parts. The comment at the top of devices/generic-10k.yaml tells a
 * user how it reads; what is optional takes the careful value that is named there. Figures are checked one by one
 * here, and against each other in device-rules.ts.
 */
export const deviceFileSchema = z.strictObject({
  family: name,
  sources: z
    .record(
      name,
      z.strictObject({
        document: z.string().min(1),
        mark: z.enum(["read", "memory", "estimate", "invented"]),
        note: z.string().optional(),
      }),
    )
    .default({}),
  pools: z.array(z.strictObject({ name, units: count.default(1), source })).min(1),
  blocks: z.array(block).min(1),
  lut_memory: lutMemory.optional(),
  logic: z.strictObject({
    unit: name,
    inputs: fact(z.int().min(2).max(16)),
    multiplexers: z
      .array(
        z.strictObject({
          inputs: z.int().min(2).max(1024),
          luts: count,
          levels: z.int().min(1).max(64),
          source,
        }),
      )
      .min(1),
  }),
  parts: z.array(part).min(1),
});

/** A device file as its schema reads it, every fact with its source where it has one. */
export type DeviceFile = z.output<typeof deviceFileSchema>;
/** One block kind of a device file. */
export type DeviceFileBlock = DeviceFile["blocks"][number];
