import { distance } from "fastest-levenshtein";

/** Longest word that is looked for; a longer one is not a slip of the pen. */
const LONGEST = 64;

/** Letters from which on the beginning of a name may stand for it. */
const BEGINNING = 3;

/** The same letters in another order are one slip, however many edits they take. */
function edits(word: string, name: string): number {
  const letters = (text: string) => [...text].sort().join("");
  return letters(word) === letters(name) ? Math.min(1, distance(word, name)) : distance(word, name);
}

/**
 * The name most like a word, by edit distance without regard to case, letters in another order as one edit; where none is within two edits in five
 * letters, the only one that begins with it; null where there is none either. Of names equally near, the first.
 */
export function nearestName(word: string, names: readonly string[]): string | null {
  if (word.length > LONGEST) return null;
  let best: string | null = null;
  let least = Math.round(word.length * 0.4) + 1;
  for (const name of names) {
    const apart = edits(word.toLowerCase(), name.toLowerCase());
    if (apart < least) {
      best = name;
      least = apart;
    }
  }
  if (best !== null || word.length < BEGINNING) return best;
  const longer = names.filter((name) => name.toLowerCase().startsWith(word.toLowerCase()));
  return longer.length === 1 ? longer[0]! : null;
}

/**
 * The end of a message about a name that is not known: `; did you mean "width"?`, or the names that there are when
 * none is near; "" where there are none.
 */
export function suggestion(word: string, names: readonly string[], what: string): string {
  const near = nearestName(word, names);
  if (near !== null) return `; did you mean ${JSON.stringify(near)}?`;
  return names.length === 0 ? "" : `; ${what}: ${names.join(", ")}`;
}
