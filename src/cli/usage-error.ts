/** What is wrong with the arguments; scripts may branch on it. */
export type UsageCode =
  | "unknown-command"
  | "unknown-option"
  | "missing-argument"
  | "extra-argument"
  | "wrong-option-value"
  | "unknown-engine"
  | "unknown-pool"
  | "unknown-name"
  | "unknown-language"
  | "no-device"
  | "unknown-path"
  | "file-exists"
  | "unwritable-file";

/** Thrown where the arguments cannot be used. */
export class UsageError extends Error {
  readonly code: UsageCode;
  /** The word that is not known and the names that are, for "did you mean"; null where it is about no name. */
  readonly unknown: {
    readonly word: string;
    readonly names: readonly string[];
    readonly what: string;
  } | null;

  constructor(code: UsageCode, message: string, unknown: UsageError["unknown"] = null) {
    super(message);
    this.name = "UsageError";
    this.code = code;
    this.unknown = unknown;
  }
}
