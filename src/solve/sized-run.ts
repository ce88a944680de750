import type { IntegerProgram } from "../program/integer-program.js";
import { type EngineOptions, solveWith } from "./engine.js";
import { type Outcome, upTo } from "./outcome.js";
import { msUntil } from "./time-left.js";
import { solveInOneWay, solveInTwoWays } from "./two-ways.js";

/** Columns from which on a run takes so long that the best in hand is bettered before it, and that settings for proofs pay. */
export const MANY_COLUMNS = 400;

/** A program whose blocks are shared by two at most. */
interface Sized {
  readonly program: IntegerProgram;
  /** How many columns it has. */
  readonly columns: number;
}

/** Counts of fragments are left to the rows: mostly that takes half as long, and now and then many times as long. */
const LOOSE_PROOF = { mode: "proof", loose: true } as const;

/** Solves a program with highs beside others, up to a value. Never rejects. */
export function solveSized({ program, columns }: Sized, options: EngineOptions): Promise<Outcome> {
  return solveInOneWay(program, { ...options, ...(columns > MANY_COLUMNS ? LOOSE_PROOF : { mode: "tree" }) });
}

/** The same where no other goes on. Never rejects. */
export function solveSizedAlone(sized: Sized, options: EngineOptions): Promise<Outcome> {
  const { program, columns } = sized;
  if (columns <= MANY_COLUMNS) return solveSized(sized, options);
  const secondly = (late: EngineOptions) => solveWith("highs", program, { ...late, loose: false });
  return solveInTwoWays(program, { ...options, ...LOOSE_PROOF }, { secondly });
}

/**
 * Solves a program with highs for which no values were tried: the best of it may be far from what is in hand. Never rejects.
 *
 * @param least what no solution is worth less than; null: not known
 */
export function solveSizedWhole(
  sized: Sized,
  options: EngineOptions,
  least: number | null,
): Promise<Outcome> {
  const { program, columns } = sized;
  if (columns <= MANY_COLUMNS) return solveSized(sized, options);
  const { incumbent } = options;
  const secondly = async (late: EngineOptions): Promise<Outcome> => {
    const stopAt = Date.now() + late.deadlineMs;
    const proof = { ...late, ...LOOSE_PROOF };
    if (incumbent !== undefined && least !== null && least < incumbent) {
      // Where there is one that is worth as little, it is found soonest if nothing dearer is sought.
      const aimed = upTo(await solveWith("highs", program, { ...proof, incumbent: least }), least);
      if (aimed.status === "optimal") return aimed;
    }
    return solveWith("highs", program, { ...proof, deadlineMs: msUntil(stopAt) });
  };
  const mode = incumbent === undefined ? "tree" : "proof";
  return solveInTwoWays(program, { ...options, mode }, { secondly });
}
