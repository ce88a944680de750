import * as z from "zod";
import { bits, commonFields, count, expected, ONE_READ_ONE_WRITE, requestFor } from "./fields.js";
import { defineStructure } from "./structure.js";

const schema = z.strictObject({
  kind: z.literal("fifo"),
  ...commonFields,
  /** Words. */
  depth: count(),
  width: bits(),
  /** 2 where it is filled on one clock and emptied on another. */
  clocks: z.union([z.literal(1), z.literal(2)], { error: expected("1 or 2 clocks") }).default(1),
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
