/** Longest line of generated text, in characters, where it can be broken at a space. */
const LONGEST = 110;

/** Breaks long lines of code at spaces; comments, and lines with text in quotes, stay as they are. */
export function folded(text: string): string {
  return text
    .split("\n")
    .flatMap((line) => {
      if (line.length <= LONGEST || /^\s*(?:\/\/|--)|"[^"]* [^"]*"/.test(line)) return [line];
      const indent = /^\s*/.exec(line)![0];
      const lines: string[] = [indent];
      for (const word of line.trim().split(" ")) {
        const last = lines.at(-1)!;
        const first = last.trim() === "";
        if (first) lines[lines.length - 1] = last + word;
        else if (last.length + 1 + word.length <= LONGEST) lines[lines.length - 1] = `${last} ${word}`;
        else lines.push(`${indent}    ${word}`);
      }
      return lines;
    })
    .join("\n");
}
