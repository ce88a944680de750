import * as z from "zod";
import { sumText } from "./arithmetic.js";
import { type AssociativeTable, checkTable, setCount, tableRequests, tableWarnings } from "./associative.js";
import { bits, commonFields, count, countOrNone, powerOfTwoSize, ways, word } from "./fields.js";
import { REPLACEMENTS } from "./replacement.js";
import { defineStructure } from "./structure.js";

const fields = z.strictObject({
  kind: z.literal("branch-target-buffer").describe("Kind of structure."),
  ...commonFields,
  entries: count().describe("Targets held: ways times a power of two."),
  ways: ways()
    .default(1)
    .describe(
      "Ways of a set, or full: one set that holds every entry, in registers. Default 1: each branch has one place.",
    ),
  address: bits().describe("Bits of an instruction address; more than index and alignment tell."),
  alignment: powerOfTwoSize()
    .default(16)
    .describe(
      "Where instructions may start, with its unit, a power of two of bytes; the address bits below tell nothing. Default 2 B.",
    ),
  target: bits()
    .optional()
    .describe("Bits of the target held. Default: as much of an address as alignment leaves."),
  tag: bits()
    .optional()
    .describe("Tag bits kept; a shorter tag may give a wrong match now and then. Default: all."),
  extra: countOrNone()
    .default(0)
    .describe("Further bits of an entry, such as the kind of branch. Default 0."),
  replacement: word(REPLACEMENTS)
    .default("random")
    .describe("How the way to replace is chosen. Default random."),
});

/** Parameters of a branch target buffer, as read. */
export type BranchTargetBufferParameters = z.output<typeof fields>;

/** Address bits that neither the place of an entry nor alignment tells. */
function fullTagBits(p: BranchTargetBufferParameters): number {
  return p.address - Math.log2(setCount(p)) - Math.log2(p.alignment / 8);
}

function checkRules(
  p: BranchTargetBufferParameters,
  context: z.core.$RefinementCtx<BranchTargetBufferParameters>,
): void {
  checkTable(p, context);
  const full = fullTagBits(p);
  if (!Number.isInteger(full)) return;
  if (full < 1) {
    const message = `expected more than ${p.address - full} bits, which index and alignment tell already`;
    context.addIssue({ code: "custom", path: ["address"], message, input: p.address });
  } else if (p.tag !== undefined && p.tag > full) {
    const message = `expected at most the ${full} bits that index and alignment do not tell`;
    context.addIssue({ code: "custom", path: ["tag"], message, input: p.tag });
  }
}

/** Predicted targets of branches, found by the address of the branch. */
export const branchTargetBuffer = defineStructure<BranchTargetBufferParameters>({
  kind: "branch-target-buffer",
  summary: "predicted branch targets, found by the branch's address",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const alignmentBits = Math.log2(p.alignment / 8);
    const target = p.target ?? p.address - alignmentBits;
    const tag: (readonly [string, number])[] =
      p.tag === undefined
        ? [
            ["address", p.address],
            ["index", -Math.log2(setCount(p))],
            ["alignment", -alignmentBits],
          ]
        : [["tag", p.tag]];
    const parts = [...tag, ["valid", 1], ["target", target], ["extra", p.extra]] as const;
    const width = parts.reduce((sum, [, n]) => sum + n, 0);
    const table: AssociativeTable = p;
    const requests = tableRequests(table, [{ part: "entries", width, formula: sumText(parts) }]);
    return { requests, warnings: tableWarnings(table, requests) };
  },
});
