import type { Shape } from "./shape.js";

/** One dimension of elements: how many, and the number of the first. */
export interface Extent {
  readonly size: number;
  readonly low: number;
}

/** An array of words that a module declares. */
export interface ArrayFound {
  /** Name seen from its module, with the generate blocks it stands in: `bank[2].cells`. */
  readonly path: string;
  /** Unpacked dimensions, outermost first. */
  readonly extents: readonly Extent[];
  readonly word: Shape;
  /** True where it gets values in its declaration, or is a parameter. */
  readonly valued: boolean;
  /** True where it is declared as a net: it holds nothing by itself. */
  readonly net: boolean;
  readonly at: number;
}

/** Words of an array. */
export function depthOf({ extents }: ArrayFound): number {
  return extents.reduce((product, { size }) => product * size, 1);
}
