import * as z from "zod";
import { bits, commonFields, count, ONE_READ_ONE_WRITE, requestFor } from "./fields.js";
import { defineStructure } from "./structure.js";

const fields = z.strictObject({
  kind: z.literal("line-buffer").describe("Kind of structure."),
  ...commonFields,
  pixels: count().describe("Words of a line."),
  width: bits().describe("Bits of a word."),
  lines: count().optional().describe("Lines held. State this or taps."),
  taps: count()
    .optional()
    .describe(
      "Lines that come out together: those held and the one that is coming in, so one more than lines; at least 2. State this or lines.",
    ),
});

/** Parameters of a line buffer, as read. */
export type LineBufferParameters = z.output<typeof fields>;

function checkRules(p: LineBufferParameters, context: z.core.$RefinementCtx<LineBufferParameters>): void {
  const problem = (field: "lines" | "taps", message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: p[field] });
  if (p.lines === undefined && p.taps === undefined) {
    problem("lines", "missing: expected lines, or taps (one more than the lines held)");
  } else if (p.taps === 1 && p.lines === undefined) {
    problem("taps", "expected at least 2: one tap is the line coming in and needs no memory");
  } else if (p.lines !== undefined && p.taps !== undefined && p.taps !== p.lines + 1) {
    problem("taps", `expected ${p.lines + 1} for ${p.lines} lines held, or one of the two left out`);
  }
}

/**
 * Lines of samples that move up one line as new ones come in: at each step every line is read at the same place
 * and written at the same place with what the line before it gave. So the lines may lie side by side.
 */
export const lineBuffer = defineStructure<LineBufferParameters>({
  kind: "line-buffer",
  summary: "lines of samples for a window that slides over them",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const lines = p.lines ?? p.taps! - 1;
    return {
      requests: [
        requestFor(p, null, {
          depth: p.pixels,
          width: p.width,
          ports: ONE_READ_ONE_WRITE,
          instances: p.instances * lines,
          lockstep: lines > 1 ? { group: `${p.name}.lines`, members: lines, together: true } : null,
          formula: {
            depth: `pixels ${p.pixels}, ${lines} ${lines === 1 ? "line" : "lines"}`,
            width: `width ${p.width}`,
          },
        }),
      ],
      warnings: [],
    };
  },
});
