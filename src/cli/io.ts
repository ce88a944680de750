/**
 * The command line: reads arguments, calls the library, writes reports, returns an exit code.
 * In: arguments and an {@link Io}. Out: text on its streams and an exit code ({@link EXIT}). May import everything.
 * Heavy modules are imported by the command that needs them, when it runs.
 */

/** What a command may touch of the outside. */
export interface Io {
  readonly stdout: { write(text: string): unknown };
  readonly stderr: { write(text: string): unknown };
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Folder that relative paths start from. */
  readonly cwd: string;
  /** True where stdout is a terminal. */
  readonly isTTY: boolean;
  /** Columns of the terminal, where there is one. */
  readonly columns?: number | undefined;
  /** stderr where it is a terminal, for a progress bar; left out: none is shown. */
  readonly terminal?: NodeJS.WritableStream | undefined;
  /**
   * Calls `act` once when the user interrupts the program (Ctrl-C), until the function that it gives is called or a
   * second interrupt ends the program; left out: an interrupt ends the program at once.
   */
  readonly onInterrupt?: ((act: () => void) => () => void) | undefined;
}

/** Exit codes. They are part of the interface. */
export const EXIT = {
  /** Done; the design fits. */
  done: 0,
  /** The design is over a budget or over a limit that was asked for. */
  over: 1,
  /** The design, the device or the options cannot be used, or an output cannot be written. */
  badInput: 2,
  /** A fault of this program. */
  fault: 3,
  /** The user interrupted it (128 + SIGINT, as shells say); what was done is printed. */
  interrupted: 130,
} as const;

/** Widest table on a wide terminal, in columns; elsewhere tables are 100 wide. */
const WIDEST = 140;

/**
 * How text reports look here: colours only on a terminal that has them, and not where NO_COLOR is set to anything
 * but nothing; wider than 100 columns only on a wider terminal.
 */
export function textOptions(io: Io): { readonly color: boolean; readonly width: number } {
  const color = io.isTTY && !io.env.NO_COLOR && io.env.TERM !== "dumb";
  return { color, width: io.isTTY ? Math.min(io.columns ?? 100, WIDEST) : 100 };
}
