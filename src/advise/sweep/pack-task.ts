import { CandidateMemo, choicesOf } from "../../candidates/index.js";
import type { Design, Device } from "../../model/index.js";
import { NothingLegalError } from "../../plan/nothing-legal.js";
import { type PackOptions, pack } from "../../plan/pack.js";
import { packProgram } from "../../program/index.js";
import { type Usage, usageOf } from "./usage.js";

/** A design to pack, or to leave to a larger task where its memories may share blocks with others. */
export interface PackTask {
  readonly design: Design;
  readonly device: Device;
  readonly options: Pick<PackOptions, "engine" | "deadlineMs">;
  /** False: a part of a design, not to be packed alone where it may share. */
  readonly mayShare: boolean;
}

/** What became of a task. */
export type PackResult =
  | {
      readonly status: "packed";
      readonly usage: Usage;
      readonly overBudget: boolean;
      /** A sentence for each solving engine that failed. */
      readonly failures: readonly string[];
    }
  /** Some memory may share a block with a memory outside the task. */
  | { readonly status: "shares" }
  /** A memory, by its index in the task, has no legal home. */
  | { readonly status: "nothing-legal"; readonly request: number; readonly reason: string };

/** Does one task; `memo` makes those that come after it faster. Throws what `pack` throws for faults of ours. */
export async function packTask(
  { design, device, options, mayShare }: PackTask,
  memo = new CandidateMemo(),
): Promise<PackResult> {
  if (!mayShare) {
    const { shareKeys } = packProgram(choicesOf(design, device, memo), design, device);
    if (shareKeys.length > 0) return { status: "shares" };
  }
  try {
    const failures: string[] = [];
    const onEngineFailure = (message: string) => failures.push(message);
    const plan = await pack(design, device, { ...options, memo, onEngineFailure });
    return { status: "packed", usage: usageOf(plan), overBudget: plan.status === "over-budget", failures };
  } catch (error) {
    if (!(error instanceof NothingLegalError)) throw error;
    const { request, reason } = error.homeless[0]!;
    return { status: "nothing-legal", request: design.requests.indexOf(request), reason };
  }
}
