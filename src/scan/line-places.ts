import type { FilePlace } from "./result.js";
import type { Place } from "./source-map.js";

/** Lines and columns of places, with the lines of each file counted once. */
export class LinePlaces {
  private readonly starts = new Map<string, readonly number[]>();

  of({ source, offset }: Place): FilePlace {
    let starts = this.starts.get(source.text);
    if (starts === undefined) {
      const found = [0];
      for (let at = source.text.indexOf("\n"); at >= 0; at = source.text.indexOf("\n", at + 1))
        found.push(at + 1);
      starts = found;
      this.starts.set(source.text, starts);
    }
    let low = 0;
    let high = starts.length - 1;
    while (low < high) {
      const middle = Math.ceil((low + high) / 2);
      if (starts[middle]! <= offset) low = middle;
      else high = middle - 1;
    }
    return { file: source.file, line: low + 1, column: offset - starts[low]! + 1 };
  }
}
