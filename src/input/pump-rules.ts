import type { SourceRange, Warning } from "../model/index.js";
import type { DesignFile } from "./design-schema.js";
import { type Problem, problem } from "./located.js";
import type { Ranges } from "./read-yaml.js";

/** Entries of a design file that ask for pumping, with the range of the key's value. */
function pumpedEntries(file: DesignFile, ranges: Ranges): { name: string; range: SourceRange | null }[] {
  return (["memories", "structures"] as const).flatMap((list) =>
    file[list].flatMap(({ name, pump }, i) =>
      pump === undefined ? [] : [{ name, range: ranges.rangeOf([list, i, "pump"]) }],
    ),
  );
}

/** Pumping without a clock in the design: nothing says what a multiple of it is, nor that a block is fast enough. */
export function pumpProblems(file: DesignFile, ranges: Ranges): Problem[] {
  if (file.clock !== undefined) return [];
  return pumpedEntries(file, ranges).map(({ name, range }) => {
    const words = `${name}: pump: expected the key "clock" in the design, which it multiplies, found none`;
    return problem("missing-key", range, words);
  });
}

/** A structure that asks for pumping although none of its memories can be pumped. */
export function idlePump(subject: string, range: SourceRange | null): Warning {
  const message =
    "pump changes nothing: each of its memories is in a lockstep group, reads asynchronously or has two clocks";
  return { subject, message, source: range };
}
