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
