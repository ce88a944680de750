import * as z from "zod";
import { bits, commonFields, count, ONE_READ_ONE_WRITE, requestFor } from "./fields.js";
import { defineStructure } from "./structure.js";

const schema = z.strictObject({
  kind: z.literal("return-stack").describe("Kind of structure."),
  ...commonFields,
  entries: count().describe("Return addresses that it holds."),
  width: bits().describe("Bits of an entry."),
});

/** Parameters of a return stack, as read. */
export type ReturnStackParameters = z.output<typeof schema>;

/** A stack of return addresses: read at the top by returns, written above it by calls. */
export const returnStack = defineStructure<ReturnStackParameters>({
  kind: "return-stack",
  summary: "a stack of predicted return addresses",
  schema,
  derive: (p) => ({
    requests: [
      requestFor(p, null, {
        depth: p.entries,
        width: p.width,
        ports: ONE_READ_ONE_WRITE,
        formula: { depth: `entries ${p.entries}`, width: `width ${p.width}` },
      }),
    ],
    warnings: [],
  }),
});
