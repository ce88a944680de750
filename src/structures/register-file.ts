import * as z from "zod";
import { bits, commonFields, count, requestFor, word } from "./fields.js";
import { defineStructure } from "./structure.js";

const schema = z.strictObject({
  kind: z.literal("register-file").describe("Kind of structure."),
  ...commonFields,
  entries: count().describe("Registers. A register that always reads zero may be counted or left out."),
  width: bits().describe("Bits of a register."),
  reads: count().describe("Read ports."),
  writes: count().default(1).describe("Write ports. Default 1."),
  read: word(["sync", "async"])
    .default("sync")
    .describe(
      "async: the value comes in the cycle of the register number, which block RAM cannot do. Default sync.",
    ),
});

/** Parameters of a register file, as read. */
export type RegisterFileParameters = z.output<typeof schema>;

/** A register file: one memory of n read and m write ports, which `realisation` may pin. */
export const registerFile = defineStructure<RegisterFileParameters>({
  kind: "register-file",
  summary: "a register file of n read and m write ports",
  schema,
  derive: (p) => ({
    requests: [
      requestFor(p, null, {
        depth: p.entries,
        width: p.width,
        ports: { read: p.reads, write: p.writes, readWrite: 0 },
        read: p.read,
        formula: { depth: `entries ${p.entries}`, width: `width ${p.width}` },
      }),
    ],
    warnings: [],
  }),
});
