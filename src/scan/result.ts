import type { QuestionCode } from "./question.js";

/** A place in a source file: line and column from 1, the column in UTF-16 code units. */
export interface FilePlace {
  readonly file: string;
  readonly line: number;
  readonly column: number;
}

/** Something that the sources do not say. Until it is answered, what stands in the design file is assumed. */
export interface ScanQuestion extends FilePlace {
  /** From 1, in the order of the design file. */
  readonly number: number;
  readonly code: QuestionCode;
  readonly text: string;
  /** The memory that it is about; null where it is about the sources as a whole. */
  readonly memory: string | null;
}

/** A memory that was found, as the design file states it. */
export interface ScanMemory extends FilePlace {
  /** Unique in the file. */
  readonly name: string;
  readonly module: string;
  /** Name in its module, without the numbers of generate blocks. */
  readonly array: string;
  /** Path of one instance from the top. */
  readonly path: string;
  /** Words. */
  readonly depth: number;
  /** Bits of a word. */
  readonly width: number;
  /** As in a design file, for example `1r1w`. */
  readonly ports: string;
  readonly instances: number;
  /** Bits under one write enable; null: the word. */
  readonly lane: number | null;
  readonly read: "sync" | "async";
  readonly clocks: 1 | 2;
  /** True where it has contents at start. */
  readonly initial: boolean;
  /** Files that $readmemh or $readmemb read. */
  readonly files: readonly string[];
  /** Bits that one read and one write move; null where it is the width. */
  readonly readWidth: number | null;
  readonly writeWidth: number | null;
  /** True where only registers can serve it. */
  readonly registers: boolean;
  /** What is odd about it, in words. */
  readonly remarks: readonly string[];
  /** Numbers of the questions about it. */
  readonly questions: readonly number[];
}

/** An array that was found and whose size the sources do not give. */
export interface ScanUnsized extends FilePlace {
  readonly module: string;
  readonly array: string;
  readonly instances: number;
  readonly questions: readonly number[];
}

/** A part of a source that was not read, and why. */
export interface ScanUnread extends FilePlace {
  readonly message: string;
}

/** Everything that a scan found; `--json` writes it. */
export interface ScanResult {
  readonly format: "ramtailor-scan/1";
  /** The module that the hierarchy starts from. */
  readonly top: string;
  readonly files: readonly string[];
  readonly memories: readonly ScanMemory[];
  /** Arrays that will be registers: too small, or all of whose indexes are constants. Not in the design. */
  readonly registers: readonly ScanMemory[];
  /** Arrays that hold nothing: wires, or unused. */
  readonly wires: readonly ScanMemory[];
  /** Arrays of unknown size. Not in the design. */
  readonly unsized: readonly ScanUnsized[];
  readonly questions: readonly ScanQuestion[];
  readonly unread: readonly ScanUnread[];
  /** Bits up to which an array counts as registers. */
  readonly registersBelow: number;
}
