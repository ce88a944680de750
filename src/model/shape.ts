/** One aspect ratio of a memory: `depth` words of `width` bits. */
export interface Shape {
  /** Words. */
  readonly depth: number;
  /** Bits in a word. */
  readonly width: number;
}

/** The trade's way to write a shape, for example `1024x18`. */
export function shapeName(shape: Shape): string {
  return `${shape.depth}x${shape.width}`;
}

/** Bits that a shape can address. */
export function shapeBits(shape: Shape): number {
  return shape.depth * shape.width;
}

/** A regular expression of what {@link parseShape} takes. */
export const SHAPE_PATTERN = "^[1-9]\\d*x[1-9]\\d*$";

/** Reads `1024x18`; null where the text is not a shape of two positive whole numbers. */
export function parseShape(text: string): Shape | null {
  const match = /^([1-9]\d*)x([1-9]\d*)$/.exec(text);
  if (match === null) return null;
  return { depth: Number(match[1]), width: Number(match[2]) };
}
