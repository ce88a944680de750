import {
  bestPattern,
  type PackProgram,
  type StackKey,
  type Stage,
  type StagedProgram,
  sharedByTwo,
  stageProgram,
} from "../program/index.js";
import { solveRelaxation } from "./engine.js";
import { msUntil } from "./time-left.js";

/** Rounds of column generation after which it gives up. */
const ROUNDS = 200;

/** What a pattern of a key costs at the duals of the rows, but for those of its types: a block, and each LUT of it. */
function priceOf(
  pack: PackProgram,
  key: StackKey,
  index: number,
  { program, patternOf, typeRows }: StagedProgram,
  duals: readonly number[],
): { readonly block: number; readonly perLut: number } {
  const own = new Set(typeRows[index]);
  const entries = patternOf.flatMap((entry, variable) =>
    entry?.key === index ? [{ variable, luts: pack.muxLuts(key, entry.pattern.length) }] : [],
  );
  const [plain, other] = [entries[0]!, entries.find(({ luts }) => luts !== entries[0]!.luts)];
  const cost = (variable: number) =>
    program.rows.reduce((sum, { terms }, row) => {
      if (own.has(row)) return sum;
      const term = terms.find((entry) => entry.variable === variable);
      return term === undefined ? sum : sum - duals[row]! * term.coefficient;
    }, program.variables[variable]!.objective);
  const first = cost(plain.variable);
  if (other === undefined) return { block: first, perLut: 0 };
  const perLut = Math.max(0, (cost(other.variable) - first) / (other.luts - plain.luts));
  return { block: first - perLut * plain.luts, perLut };
}

/**
 * Adds patterns to the stack keys whose patterns are not all in play, until none improves the relaxation of a stage:
 * the relaxation over the patterns in play then has the value of the one over all. Returns that value, a lower bound of
 * the stage; null where time ran out first, the search for a pattern stopped short or the relaxation has no solution.
 */
export async function generatePatterns(
  pack: PackProgram,
  stage: Stage,
  limits: { readonly stopAt: number; readonly signal?: AbortSignal | undefined },
): Promise<number | null> {
  for (let round = 0; round < ROUNDS; round++) {
    const staged = stageProgram(pack, stage);
    const relaxation = await solveRelaxation(staged.program, {
      deadlineMs: msUntil(limits.stopAt),
      signal: limits.signal,
    });
    if (relaxation.status !== "optimal" || relaxation.duals.length === 0) return null;
    let grown = false;
    let sure = true;
    pack.shareKeys.forEach((key, index) => {
      if (sharedByTwo(key) || key.complete) return;
      const price = priceOf(pack, key, index, staged, relaxation.duals);
      const worth = staged.typeRows[index]!.map((row) => (row === null ? 0 : relaxation.duals[row]!));
      const best = bestPattern(
        key.rule,
        key.types,
        worth,
        (tenants) => price.perLut * pack.muxLuts(key, tenants),
      );
      const name = best.pattern.join();
      const known = key.patterns.some((pattern) => pattern.join() === name);
      if (best.worth > price.block + 1e-7 && !known) {
        key.patterns = [...key.patterns, best.pattern];
        grown = true;
      } else if (!best.sure || best.worth > price.block + 1e-5) sure = false;
    });
    if (!grown) return sure ? relaxation.value : null;
  }
  return null;
}
