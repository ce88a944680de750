import type { IntegerProgram } from "../program/integer-program.js";
import { solveRelaxation } from "./engine.js";
import type { Tried } from "./outcome.js";
import type { RunLimits } from "./worker-host.js";

/** How often a program is divided in two, each part of it again. */
const ROUNDS = 2;

/** The part of the way to the value by which a division has to make the relaxation dearer: by less, both parts take as long as the whole. */
const LEAST_WORTH = 0.01;

/** What counts of the part that gets dearer, besides all that counts of the other one: it tells those apart that leave one part as it was. */
const OTHER_SIDE = 0.1;

/** A program with limits on counts, and what no solution of it is worth less than, by the engine's word: it tells only which part is harder. */
interface Part {
  readonly program: IntegerProgram;
  readonly least: number;
}

/** A program whose variable is no less, or no more, than a number; null: it may be. */
function limited(
  program: IntegerProgram,
  variable: number,
  lower: number | null,
  upper: number | null,
): IntegerProgram {
  const row = { name: `d${variable}`, terms: [{ variable, coefficient: 1 }], lower, upper };
  return { ...program, rows: [...program.rows, row] };
}

/**
 * Of the counts that are not whole in a relaxation the one whose whole numbers make it dearest, on the side where they do so less; null: none does. `room` is how much
 * dearer it may get: what makes one side dearer still only says that there is nothing on that side.
 */
function dividing(tries: readonly Tried[], least: number, room: number): Tried | null {
  let best: Tried | null = null;
  let most = LEAST_WORTH * room;
  for (const tried of tries) {
    const sides = [tried.below - least, tried.above - least];
    if (Math.max(...sides) >= room) continue;
    const worth = Math.min(...sides) + OTHER_SIDE * Math.max(...sides);
    if (worth <= most) continue;
    most = worth;
    best = tried;
  }
  return best;
}

/** A part in two, by how many blocks of a key there are; itself where no such count divides it. */
async function halves(part: Part, value: number, limits: RunLimits): Promise<readonly Part[]> {
  const { program } = part;
  const counts = program.variables.flatMap(({ isCount }, variable) => (isCount ? [variable] : []));
  const relaxation = await solveRelaxation(program, limits, "highs", counts);
  if (relaxation.status !== "optimal") return [part];
  const tried = dividing(relaxation.tries, relaxation.value, value - relaxation.value);
  if (tried === null) return [part];
  const { variable, below, above } = tried;
  const upper = Math.floor(tried.x);
  return [
    { program: limited(program, variable, null, upper), least: below },
    { program: limited(program, variable, upper + 1, null), least: above },
  ];
}

/**
 * A program as several, by how many blocks there are of keys whose number is not whole in the relaxation: each solution is one of exactly one of them. They have the
 * variables of the program in its order; those come first in which less is left to prove.
 *
 * @param value what solutions are to be worth at most
 */
export async function divided(
  program: IntegerProgram,
  value: number,
  limits: RunLimits,
): Promise<readonly IntegerProgram[]> {
  let parts: readonly Part[] = [{ program, least: 0 }];
  for (let round = 0; round < ROUNDS; round++) {
    parts = (await Promise.all(parts.map((part) => halves(part, value, limits)))).flat();
  }
  return [...parts].sort((a, b) => b.least - a.least).map((part) => part.program);
}
