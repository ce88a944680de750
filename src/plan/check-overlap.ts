import type { BlockShape, Interval } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Resident, Segment } from "./check-resolve.js";
import { meet, runRange, wordRange } from "./check-words.js";

/** The first parity family that offers the shapes of all tenants of a block; null where there is none. */
export function commonFamily(residents: readonly Resident[]): string | null {
  const families = residents[0]?.shapes.map((shape) => shape.family) ?? [];
  return (
    families.find((family) =>
      residents.every(({ shapes }) => shapes.some((shape) => shape.family === family)),
    ) ?? null
  );
}

/** The shape of a tenant in a family that {@link commonFamily} found. */
export function shapeIn(resident: Resident, family: string): BlockShape {
  return resident.shapes.find((shape) => shape.family === family)!;
}

/**
 * Whether two tenants hold a cell in common. At equal widths words and runs are compared; at unequal widths each
 * tenant holds all cells of its words.
 */
function overlap(a: Resident, b: Resident, family: string): boolean {
  const widthA = shapeIn(a, family).width;
  const widthB = shapeIn(b, family).width;
  const wordsA = wordRange(a.tenant);
  const wordsB = wordRange(b.tenant);
  if (widthA === widthB) {
    return (
      meet(wordsA, wordsB) &&
      a.tenant.runs.some((x) => b.tenant.runs.some((y) => meet(runRange(x), runRange(y))))
    );
  }
  const cells = (words: Interval, width: number): Interval => [words[0] * width, (words[1] + 1) * width - 1];
  return meet(cells(wordsA, widthA), cells(wordsB, widthB));
}

/** No two tenants of a block hold a cell in common, and all of them see cells of one family. */
export function checkOverlap(segments: readonly Segment[], report: Report): void {
  for (const { where, kind, arrangement, residents } of segments) {
    if (residents.length < 2 || residents.some(({ shapes }) => shapes.length === 0)) continue;
    const family = commonFamily(residents);
    if (family === null) {
      report.add("mixed-widths", where, "the tenants' shapes are not of one parity family");
      continue;
    }
    const widths = new Set(residents.map((resident) => shapeIn(resident, family).width));
    if (widths.size > 1 && (arrangement === "single" || !kind.mixedWidths[arrangement])) {
      report.add("mixed-widths", where, `${kind.name} as ${arrangement} has ports of one width`);
    }
    residents.forEach((a, i) => {
      for (const b of residents.slice(i + 1)) {
        if (overlap(a, b, family))
          report.add("overlap", where, `${a.where} and ${b.where} hold the same cells`);
      }
    });
  }
}
