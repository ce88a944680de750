/** A message as one line: spaces and line ends become a space, other control characters `?`. */
export function oneLine(text: string): string {
  return text.replace(/\s+/g, " ").replace(/\p{Cc}/gu, "?");
}
