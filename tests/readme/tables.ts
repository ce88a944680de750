/** Tables of a Markdown text, read for the tests that hold README.md against the code. */

/** Words between backticks, in order. */
export function ticked(text: string): string[] {
  return [...text.matchAll(/`([^`]+)`/g)].map(([, word]) => word!);
}

/** Rows below the `nth` table (from 0) whose head begins with these cells. Throws where there is none. */
export function rowsUnder(markdown: string, head: readonly string[], nth = 0): string[][] {
  const cells = (line: string) =>
    line
      .slice(1, -1)
      .split("|")
      .map((cell) => cell.trim());
  const lines = markdown.split("\n");
  const isHead = (line: string) => line.startsWith("|") && head.every((cell, i) => cells(line)[i] === cell);
  const start = lines.map((line, i) => (isHead(line) ? i : -1)).filter((i) => i >= 0)[nth];
  if (start === undefined) throw new Error(`README.md: no table ${nth} of ${head.join(", ")}`);
  const below = lines.slice(start + 2);
  const end = below.findIndex((line) => !line.startsWith("|"));
  return below.slice(0, end < 0 ? undefined : end).map(cells);
}
