/** A packed type laid out in bits; bit 0 is the least significant. */
export interface Shape {
  /** Bits. */
  readonly width: number;
  /** What `[i]` takes; null: single bits, numbered from 0. */
  readonly elements: {
    readonly size: number;
    /** The lower of the two bounds. */
    readonly low: number;
    /** True for `[7:0]`: the highest number is the most significant. */
    readonly falling: boolean;
    readonly of: Shape;
  } | null;
  /** What `.name` takes; null: it has no fields. */
  readonly fields: ReadonlyMap<string, { readonly low: number; readonly shape: Shape }> | null;
}

/** One bit. */
export const BIT: Shape = { width: 1, elements: null, fields: null };

/** Bits of a word, from `low` up. */
export interface BitRange {
  readonly low: number;
  readonly width: number;
}

/** A vector of so many bits, `[width - 1:0]`. */
export function vector(width: number): Shape {
  return { width, elements: { size: width, low: 0, falling: true, of: BIT }, fields: null };
}

/** The first bit of element `index`; null where there is no such element. */
export function elementLow(shape: Shape, index: number): number | null {
  const elements = shape.elements;
  if (elements === null) return null;
  const place = index - elements.low;
  if (place < 0 || place >= elements.size) return null;
  return (elements.falling ? place : elements.size - 1 - place) * elements.of.width;
}
