import { nearestName, suggestion } from "../../input/nearest.js";
import { OptionError } from "./option-error.js";

/** Names that a message lists at most, where none is near. */
const MOST_LISTED = 20;

/**
 * The error of a name that is none of those that there are. `where` is the option and what was written there. Where no
 * name is near, the first of them are listed.
 */
export function unknownName(
  where: string,
  word: string,
  names: readonly string[],
  what: string,
): OptionError {
  const nearest = nearestName(word, names);
  const shown = nearest === null ? names.slice(0, MOST_LISTED) : names;
  const more = nearest === null && names.length > shown.length ? ", ..." : "";
  const message = `${where}: ${JSON.stringify(word)} is no name here${suggestion(word, shown, what)}${more}`;
  return new OptionError("unknown-name", message, nearest);
}
