/**
 * A mark of a text, such that another text, by an edit or by chance, has practically never the same: its length and two hashes of 32 bits over its
 * code units: that of Fowler, Noll and Vo (FNV-1a, from memory), and the same with another start and odd factor. No defence against forgery. `node:crypto` would take longer to load than all else that reading a device takes.
 */
export function markOf(text: string): string {
  let [a, b] = [0x811c9dc5, 0x01000193];
  for (let i = 0; i < text.length; i++) {
    const unit = text.charCodeAt(i);
    a = Math.imul(a ^ unit, 0x01000193);
    b = Math.imul(b ^ unit, 0x5bd1e995);
  }
  return [text.length, a >>> 0, b >>> 0].map((part) => part.toString(36)).join("-");
}
