/** What sort of thing could not be decided; scripts may branch on it. */
export type QuestionCode =
  /** A size, a bound or a condition is no constant that the sources give. */
  | "not-constant"
  /** A module that no source has. */
  | "unknown-module"
  /** The clock of a process cannot be told from its resets, or is none. */
  | "clock"
  /** The memory runs on more than two clocks. */
  | "many-clocks"
  /** Whether a read is clocked. */
  | "read-style"
  /** How many ports accesses need. */
  | "ports"
  /** What one write enable covers. */
  | "lane"
  /** More words at once than a RAM has ports. */
  | "many-words"
  /** Access through a function, a task, another module or the array as a whole. */
  | "hidden-access"
  /** Never written, or never read. */
  | "unused"
  /** A parameter that is set with defparam. */
  | "defparam";

/** Something that could not be decided, and what was assumed. */
export interface Question {
  readonly code: QuestionCode;
  /** One sentence with a question mark at its end, or a statement of what is left out. */
  readonly text: string;
  /** Offset in the text of all units. */
  readonly at: number;
}
