/**
 * The end of a string, a comment or an escaped identifier that starts at an offset: the offset after it. What is not
 * closed ends with the line (a string) or with the text (a comment).
 */
export function skipText(text: string, at: number): number {
  if (text.startsWith("//", at)) return endOfLine(text, at);
  if (text.startsWith("/*", at)) {
    const end = text.indexOf("*/", at + 2);
    return end < 0 ? text.length : end + 2;
  }
  if (text[at] === '"') {
    const string = /"(?:[^"\\\n]|\\[\s\S])*"?/y;
    string.lastIndex = at;
    return at + (string.exec(text)?.[0].length ?? 1);
  }
  const escaped = /\\[^\s]*/y;
  escaped.lastIndex = at;
  return at + Math.max(1, escaped.exec(text)?.[0].length ?? 1);
}

/** The offset of the line break that ends a line, or the end of the text. */
export function endOfLine(text: string, at: number): number {
  const end = text.indexOf("\n", at);
  return end < 0 ? text.length : end;
}
