import * as z from "zod";
import { sizeName } from "../model/units.js";
import { bits, commonFields, count, path, requestFor, size } from "./fields.js";
import { defineStructure } from "./structure.js";

const fields = z.strictObject({
  kind: z.literal("rom").describe("Kind of structure."),
  ...commonFields,
  size: size()
    .optional()
    .describe(
      "Contents with their unit, for example 4 KiB; a whole number of words. State this or depth, one of the two.",
    ),
  depth: count().optional().describe("Words. State this or size, one of the two."),
  width: bits().describe("Bits of a word."),
  reads: count().default(1).describe("Read ports. Default 1."),
  contents: path()
    .optional()
    .describe("Hex file of its words, from the folder of the design file. Left out: wrappers hold zeros."),
});

/** Parameters of a ROM, as read. */
export type RomParameters = z.output<typeof fields>;

function checkRules(p: RomParameters, context: z.core.$RefinementCtx<RomParameters>): void {
  const problem = (field: "size" | "depth", message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: p[field] });
  if (p.size === undefined && p.depth === undefined) {
    problem("depth", "missing: expected depth in words, or size");
  } else if (p.size !== undefined && p.depth !== undefined) {
    problem("size", "expected one of size and depth, not both");
  } else if (p.size !== undefined && p.size % p.width !== 0) {
    problem("size", `expected a whole number of ${p.width}-bit words`);
  }
}

/** Memory that is only read; its contents come with the configuration of the device. */
export const rom = defineStructure<RomParameters>({
  kind: "rom",
  summary: "read-only memory",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const depth = p.depth ?? p.size! / p.width;
    return {
      requests: [
        requestFor(p, null, {
          depth,
          width: p.width,
          ports: { read: p.reads, write: 0, readWrite: 0 },
          initialContents: true,
          contents: p.contents ?? null,
          formula: {
            depth:
              p.size === undefined
                ? `depth ${depth}`
                : `size / width = ${sizeName(p.size)} / ${p.width} = ${depth}`,
            width: `width ${p.width}`,
          },
        }),
      ],
      warnings: [],
    };
  },
});
