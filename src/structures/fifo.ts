import * as z from "zod";
import { bits, commonFields, count, expected, ONE_READ_ONE_WRITE, requestFor } from "./fields.js";
import { defineStructure } from "./structure.js";

const schema = z.strictObject({
  kind: z.literal("fifo").describe("Kind of structure."),
  ...commonFields,
  depth: count().describe("Words."),
  width: bits().describe("Bits of a word."),
  clocks: z
    .union([z.literal(1), z.literal(2)], { error: expected("1 or 2 clocks") })
    .default(1)
    .describe("2 where it is filled on one clock and emptied on another. Default 1."),
});

/** Parameters of a FIFO, as read. */
export type FifoParameters = z.output<typeof schema>;

/** A queue: its memory, without pointers and flags, which are logic. */
export const fifo = defineStructure<FifoParameters>({
  kind: "fifo",
  summary: "a queue, on one clock or between two",
  schema,
  derive: (p) => ({
    requests: [
      requestFor(p, null, {
        depth: p.depth,
        width: p.width,
        ports: ONE_READ_ONE_WRITE,
        clocks: p.clocks,
        formula: { depth: `depth ${p.depth}`, width: `width ${p.width}` },
      }),
    ],
    warnings: [],
  }),
});
