import widthOf from "fast-string-width";

/** Columns that a line takes on a terminal: colours take none, East Asian wide characters and emoji two. */
export function columnsOf(line: string): number {
  // The library's expressions take longer to set up than all lines of a report to measure, and most are plain.
  return /^[ -~]*$/.test(line) ? line.length : widthOf(line);
}

// For cli-table3, which measures with the package `string-width`: the bundle of the command line puts this file in its place.
export { columnsOf as "module.exports" };
