/** Colours as functions on text. Every colour is a hint only: no report loses meaning without it. */
export interface Paint {
  readonly strong: (text: string) => string;
  readonly good: (text: string) => string;
  readonly bad: (text: string) => string;
  readonly faint: (text: string) => string;
}

const wrap = (on: number, off: number) => (text: string) =>
  text === "" ? "" : `\u001b[${on}m${text}\u001b[${off}m`;
const same = (text: string) => text;

/** The colours (ECMA-48 select graphic rendition), or functions that change nothing. */
export function paint(color: boolean): Paint {
  if (!color) return { strong: same, good: same, bad: same, faint: same };
  return { strong: wrap(1, 22), good: wrap(32, 39), bad: wrap(31, 39), faint: wrap(90, 39) };
}
