/** How many ports of each direction a memory has. A read-write port does one of the two in a cycle. */
export interface PortCounts {
  readonly read: number;
  readonly write: number;
  readonly readWrite: number;
}

/** All ports together. */
export function portTotal(ports: PortCounts): number {
  return ports.read + ports.write + ports.readWrite;
}

/** Ports that can read. */
export function readers(ports: PortCounts): number {
  return ports.read + ports.readWrite;
}

/** Ports that can write. A memory with none is a ROM. */
export function writers(ports: PortCounts): number {
  return ports.write + ports.readWrite;
}

/** The short form of the design file, for example `2r1w`, `1rw`, `1r1w1rw`. */
export function portsName(ports: PortCounts): string {
  const part = (count: number, letters: string) => (count > 0 ? `${count}${letters}` : "");
  return part(ports.read, "r") + part(ports.write, "w") + part(ports.readWrite, "rw");
}

/** A regular expression of every short form with a port that reads, and of some that name a direction twice. */
export const PORTS_PATTERN = "^(?=.*r)(?:[1-9]\\d?(?:rw|r|w)){1,3}$";

/**
 * Reads the short form: counts of `r`, `w` and `rw` in any order, each at most once, each count at least 1.
 * Null where the text has another form.
 */
export function parsePorts(text: string): PortCounts | null {
  if (!/^(?:[1-9]\d?(?:rw|r|w)){1,3}$/.test(text)) return null;
  const counts = { r: 0, w: 0, rw: 0 };
  for (const [, count, kind] of text.matchAll(/(\d+)(rw|r|w)/g)) {
    const key = kind as "r" | "w" | "rw";
    if (counts[key] > 0) return null;
    counts[key] = Number(count);
  }
  return { read: counts.r, write: counts.w, readWrite: counts.rw };
}
