import { nearestName, suggestion } from "../../input/nearest.js";

/** Thrown where a sweep cannot be made as it was asked for: a wrong axis, expression or name. */
export class OptionError extends Error {
  readonly code: "wrong-option-value" | "unknown-name";
  /** The name that exists and is most like the one that does not; null where none is, or it is about no name. */
  readonly nearest: string | null;

  constructor(code: OptionError["code"], message: string, nearest: string | null = null) {
    super(message);
    this.name = "OptionError";
    this.code = code;
    this.nearest = nearest;
  }
}

/** The error of a name that is none of those that there are. `where` is the option and what was written there. */
export function unknownName(
  where: string,
  word: string,
  names: readonly string[],
  what: string,
): OptionError {
  const message = `${where}: ${JSON.stringify(word)} is no name here${suggestion(word, names, what)}`;
  return new OptionError("unknown-name", message, nearestName(word, names));
}
