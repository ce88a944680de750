/** Thrown where a trace cannot be read. The message has no place in it. */
export class TraceError extends Error {
  /** `line` and `column` (bytes) from 1; null where it is about the file. */
  constructor(
    readonly file: string,
    readonly line: number | null,
    readonly column: number | null,
    message: string,
  ) {
    super(message);
    this.name = "TraceError";
  }
}
