import { writers } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Resident, Segment } from "./check-resolve.js";
import { accessRatio, hasMixedPorts, length, runRange, wordRange } from "./check-words.js";

/** Runs are the tenant's bits, in ascending order in the memory and in the block's word, inside the word. */
function checkRuns({ tenant, where }: Resident, width: number, report: Report): void {
  let bit = tenant.bits[0];
  let free = 0;
  for (const run of tenant.runs) {
    const [first, last] = runRange(run);
    if (run.bits[0] !== bit)
      report.add("runs", where, `a run starts at bit ${run.bits[0]} instead of ${bit}`);
    if (first < free || last >= width) {
      report.add("runs", where, `a run takes bits ${first}-${last} of ${width}, of which ${free} are passed`);
    }
    bit = run.bits[1] + 1;
    free = last + 1;
  }
  if (bit !== tenant.bits[1] + 1) report.add("runs", where, `runs end before bit ${bit}`);
}

/** What the memory needs of the block kind, whatever its place. */
function checkNeeds(segment: Segment, { request, where }: Resident, report: Report): void {
  const { kind, arrangement } = segment;
  if (request.read === "async" && !kind.asynchronousRead) {
    report.add("asynchronous-read", where, `${kind.name} reads on a clock`);
  }
  if ((request.initialContents || writers(request.ports) === 0) && !kind.initialContents) {
    report.add("initial-contents", where, `the contents of ${kind.name} at start cannot be set`);
  }
  if (request.clocks === 2 && (kind.clocks !== 2 || arrangement === "single")) {
    report.add("clocks", where, `${kind.name} as ${arrangement} has one clock`);
  }
}

/** Ports of unequal width: the wider side needs a shape of its own, and whole wide words. */
function checkMixedPorts(segment: Segment, resident: Resident, report: Report): void {
  const { request, layout, tenant, shapes, where } = resident;
  if (!hasMixedPorts(request, layout)) return;
  const { kind, arrangement } = segment;
  if (arrangement !== "simple-dual" || !kind.mixedWidths["simple-dual"]) {
    report.add("mixed-widths", where, `${kind.name} as ${arrangement} has ports of one width`);
    return;
  }
  const ratio = accessRatio(request);
  const wide = kind.shapes["simple-dual"].some((candidate) =>
    shapes.some((shape) => shape.family === candidate.family && shape.width * ratio === candidate.width),
  );
  if (!wide) report.add("mixed-widths", where, `no shape is ${ratio} times as wide as ${tenant.shape}`);
  if (
    tenant.rows[0] % ratio !== 0 ||
    wordRange(tenant)[0] % ratio !== 0 ||
    length(tenant.rows) % ratio !== 0
  ) {
    report.add("mixed-widths", where, `rows or words do not make whole words of ${ratio}`);
  }
}

/** Each tenant by itself: a legal shape, words and runs inside it, and a block kind that can do what is needed. */
export function checkTenants(segments: readonly Segment[], report: Report): void {
  for (const segment of segments) {
    for (const resident of segment.residents) {
      const { tenant, shapes, where } = resident;
      checkNeeds(segment, resident, report);
      const shape = shapes[0];
      if (shape === undefined) {
        report.add("shape", where, `${segment.kind.name} as ${segment.arrangement} has no ${tenant.shape}`);
        continue;
      }
      const [low, high] = wordRange(tenant);
      if (low < 0 || high >= shape.depth) {
        report.add("words", where, `words ${low} to ${high} of ${shape.depth}`);
      }
      checkRuns(resident, shape.width, report);
      checkMixedPorts(segment, resident, report);
    }
  }
}
