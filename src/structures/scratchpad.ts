import * as z from "zod";
import { PORTS_PATTERN, parsePorts } from "../model/index.js";
import { sizeName } from "../model/units.js";
import { sumText } from "./arithmetic.js";
import { bits, commonFields, count, countOrNone, expected, requestFor, size } from "./fields.js";
import { checkedWord, laneProblem } from "./lanes.js";
import { defineStructure } from "./structure.js";

const portsMessage = expected("counts of r, w and rw, for example 1rw or 2r1w, at least one that reads");

const fields = z.strictObject({
  kind: z.literal("scratchpad").describe("Kind of structure."),
  ...commonFields,
  size: size().describe(
    "Data of all banks, with its unit, for example 64 KiB; a whole number of words in each bank.",
  ),
  width: bits().describe("Data bits of a word."),
  ports: z
    .string({ error: portsMessage })
    .meta({ pattern: PORTS_PATTERN })
    .default("1rw")
    .transform((text, context) => {
      const ports = parsePorts(text);
      if (ports !== null && ports.read + ports.readWrite > 0) return ports;
      context.addIssue({ code: "custom", message: portsMessage({ input: text }) });
      return z.NEVER;
    })
    .describe(
      "Ports of each bank: counts of read (r), write (w) and read-write ports (rw), for example 1rw or 2r1w. Default 1rw.",
    ),
  lane: bits()
    .optional()
    .describe("Bits under one write enable; a divisor of the width. Left out: words are written whole."),
  banks: count().default(1).describe("Banks that it is split into, each with all the ports. Default 1."),
  error_bits: countOrNone()
    .default(0)
    .describe("Check bits added to each word; with lanes, each lane takes an equal share. Default 0."),
});

/** Parameters of a scratchpad, as read. */
export type ScratchpadParameters = z.output<typeof fields>;

function checkRules(p: ScratchpadParameters, context: z.core.$RefinementCtx<ScratchpadParameters>): void {
  const problem = (field: keyof ScratchpadParameters, message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: p[field] });
  if (p.size % (p.width * p.banks) !== 0) {
    const banks = p.banks === 1 ? "" : ` in each of ${p.banks} banks`;
    problem("size", `expected a whole number of ${p.width}-bit words${banks}`);
  }
  const writable = p.ports.write + p.ports.readWrite > 0;
  if (p.lane !== undefined) {
    const wrong = writable
      ? laneProblem(p.width, p.error_bits, p.lane)
      : "expected no lane where nothing is written";
    if (wrong !== null) problem("lane", wrong);
  }
}

/** Addressed memory of a core or shared by cores: banks, lanes and check bits. */
export const scratchpad = defineStructure<ScratchpadParameters>({
  kind: "scratchpad",
  summary: "addressed working memory, in banks",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const stored = checkedWord(p.width, p.error_bits, p.lane ?? null);
    const depth = p.size / (p.width * p.banks);
    const overBanks = p.banks === 1 ? "" : ` / ${p.banks} banks`;
    return {
      requests: [
        requestFor(p, null, {
          depth,
          width: stored.width,
          lane: stored.lane,
          ports: p.ports,
          instances: p.instances * p.banks,
          formula: {
            depth: `size / width${overBanks} = ${sizeName(p.size)} / ${p.width}${overBanks} = ${depth}`,
            width: sumText([
              ["width", p.width],
              ["check", p.error_bits],
            ]),
          },
        }),
      ],
      warnings: [],
    };
  },
});
