import type { IntegerProgram } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { type Outcome, upTo } from "./outcome.js";
import { solveInOneWay, solveInTwoWays } from "./two-ways.js";

/** Columns from which on a run takes so long that settings for proofs pay. */
export const MANY_COLUMNS = 400;

/** What is known of a program whose blocks are shared by two at most. */
interface Sized {
  readonly program: IntegerProgram;
  /** How many columns it has. */
  readonly columns: number;
}

/** Settings for proofs, with counts of fragments left to the rows: half the time where there are many columns. */
const PROOF = { mode: "proof", loose: true } as const;

/** Solves a program with highs beside others, as it pays for so many columns. Never rejects. */
export function solveSized({ program, columns }: Sized, options: EngineOptions): Promise<Outcome> {
  return solveInOneWay(program, { ...options, ...(columns > MANY_COLUMNS ? PROOF : { mode: "tree" }) });
}

/**
 * The same where nothing else goes on.
 *
 * @param least what no solution is worth less than; null: what is worth as little was sought before
 */
export function solveSizedAlone(
  sized: Sized,
  options: EngineOptions,
  least: number | null,
): Promise<Outcome> {
  const { program, columns } = sized;
  const { incumbent } = options;
  if (columns <= MANY_COLUMNS) return solveSized(sized, options);
  // With nothing in hand, one way looks for a solution, and the other one for the proof that there is none.
  const mode = incumbent === undefined ? "tree" : "proof";
  const secondly = async (late: EngineOptions): Promise<Outcome> => {
    const stopAt = Date.now() + late.deadlineMs;
    const proof = { ...late, ...PROOF };
    if (incumbent === undefined || least === null || least >= incumbent)
      return solveWith("highs", program, proof);
    // Mostly there is one that is worth as little, and it is found soonest where nothing dearer is sought.
    const aimed = upTo(await solveWith("highs", program, { ...proof, incumbent: least }), least);
    if (aimed.status === "optimal") return aimed;
    return solveWith("highs", program, { ...proof, deadlineMs: Math.max(1, stopAt - Date.now()) });
  };
  return solveInTwoWays(program, { ...options, ...PROOF, mode }, { secondly });
}
