/** A file to write: its path below the chosen folder, and its text. */
export interface RtlFile {
  readonly path: string;
  readonly text: string;
}
