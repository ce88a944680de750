import type { Diagnostic, DiagnosticCode, Source } from "../input/index.js";

/** A place in a source file as the user wrote it. */
export interface Place {
  readonly source: Source;
  /** Offset in the text of that file, in UTF-16 code units. */
  readonly offset: number;
}

/** A run of preprocessed text and where it comes from. */
interface Segment {
  /** First offset of the run in the text of all units, one after the other. */
  readonly start: number;
  readonly source: Source;
  readonly offset: number;
  /** True where the run is text as written; false where a macro stands for it: all of it is then at `offset`. */
  readonly verbatim: boolean;
}

/**
 * From offsets in preprocessed text to places in the files. All units share one count of offsets, so that one number
 * says where something is.
 */
export class SourceMap {
  private readonly segments: Segment[] = [];

  /** Adds a run; runs come in ascending order. */
  add(start: number, source: Source, offset: number, verbatim: boolean): void {
    this.segments.push({ start, source, offset, verbatim });
  }

  /** Where an offset comes from. */
  placeOf(offset: number): Place {
    let low = 0;
    let high = this.segments.length - 1;
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if (this.segments[middle]!.start <= offset) low = middle;
      else high = middle - 1;
    }
    const segment = this.segments[low];
    if (segment === undefined) throw new Error("no text was added");
    const into = segment.verbatim ? Math.max(0, offset - segment.start) : 0;
    return { source: segment.source, offset: Math.min(segment.source.text.length, segment.offset + into) };
  }
}

/** A note with its place in a file. `length`: characters that it is about. */
export function noteAt(
  { source, offset }: Place,
  length: number,
  code: DiagnosticCode,
  message: string,
  severity: Diagnostic["severity"] = "warning",
): Note {
  const range = { start: offset, end: offset + length };
  return { source, diagnostic: { code, severity, message, range, file: source.file } };
}

/** A diagnostic with the text that it points into. */
export interface Note {
  readonly source: Source;
  readonly diagnostic: Diagnostic;
}
