/**
 * The independent checker. In: a plan, the requests that it serves, the device that it is for. Out: everything that is
 * wrong with it, recomputed from the plan alone. This file and its parts (`check-*.ts`) import only the model and each
 * other, so that they share no mistake with what made the plan.
 */
import type { Device, MemoryRequest, Plan } from "../model/index.js";
import { checkCoverage } from "./check-coverage.js";
import { checkLanes } from "./check-lanes.js";
import { checkLayouts } from "./check-layouts.js";
import { checkOverlap } from "./check-overlap.js";
import { checkPorts } from "./check-ports.js";
import { checkPump } from "./check-pump.js";
import { Report, type Violation } from "./check-report.js";
import { resolvePlan } from "./check-resolve.js";
import { checkTenants } from "./check-tenants.js";
import { checkTotals } from "./check-totals.js";
import { checkWaste } from "./check-waste.js";

export { VIOLATION_LIMIT, type Violation, type ViolationCode } from "./check-report.js";

/**
 * Checks a plan: every bit of every copy of every instance has exactly one place; no two tenants overlap; shapes,
 * ports, write lanes, homes, copies, cascades and clocks are legal; counts, status and the parts of the waste are exact.
 * Returns at most {@link VIOLATION_LIMIT} violations; none means that the plan is legal. The cost grows with the plan's
 * blocks, not with the instances that a repeated block stands for.
 *
 * `clockMHz` is the design's clock; null where it is not known, and then no block may be pumped.
 *
 * Not checked, because neither plan nor requests hold what is needed: the objective's value (its weights), and the
 * LUTs and registers of a layout (only their sums are).
 *
 * The waste of a block is defined at `chargesOf` in `check-waste.ts`.
 */
export function checkPlan(
  plan: Plan,
  requests: readonly MemoryRequest[],
  device: Device,
  clockMHz: number | null = null,
): readonly Violation[] {
  const report = new Report();
  const resolved = resolvePlan(plan, requests, device, report);
  checkLayouts(plan, resolved.subjects, device, report);
  checkCoverage(resolved, report);
  checkTenants(resolved.segments, report);
  checkOverlap(resolved.segments, report);
  checkPorts(resolved.segments, report);
  checkPump(resolved.segments, clockMHz, report);
  checkLanes(resolved.segments, report);
  checkWaste(plan, resolved, report);
  checkTotals(plan, resolved, device, report);
  return report.violations;
}
