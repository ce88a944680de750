import type { DesignEdit } from "../../input/index.js";

/** The sorts of change that are looked for. */
export const CHANGE_KINDS = [
  /** More depth, width, ways, sets or entries in the same blocks. */
  "grow",
  /** A little less width, depth or state for fewer blocks. */
  "trim",
  /** Ways against sets at equal capacity. */
  "ways",
  /** Another line size. */
  "line",
  /** More or fewer banks: narrow and deep against wide and shallow. */
  "banks",
  /** A memory in two, across its words or its bits. */
  "split",
  /** Memories or ways side by side, with write lanes. */
  "join",
  /** Tag, valid, dirty and replacement bits in one word, or apart. */
  "together",
  /** Two memories with one port each in a dual port block. */
  "share",
  /** Memories that are never accessed together, one above the other behind one port. */
  "stack",
  /** Blocks clocked faster than the design. */
  "pump",
  /** Another way to make several ports. */
  "realisation",
  /** Fewer or simpler ports. */
  "ports",
  /** A small memory in LUT memory or registers. */
  "small",
  /** Another block pool. */
  "pool",
] as const;

/** A sort of change. */
export type ChangeKind = (typeof CHANGE_KINDS)[number];

/**
 * What a change does to the architecture.
 * - `same`: the same capacity and behaviour.
 * - `size`: more or less capacity.
 * - `behaviour`: another behaviour, or the same only if what the user has to confirm is true.
 */
export type Effect = "same" | "size" | "behaviour";

/** A change of a design file that may be worth making. Nothing is claimed of its result before it is packed. */
export interface Change {
  readonly kind: ChangeKind;
  /** The entry that it changes; the first, where there are several. */
  readonly subject: string;
  /** One sentence without a full stop, for example `l1d: 2 ways of 128 sets for 4 of 64`. */
  readonly title: string;
  readonly edits: readonly DesignEdit[];
  readonly effect: Effect;
  /** What it needs beside blocks, in words: an address multiplexer, a clock, an address bit. */
  readonly needs: readonly string[];
  /** What only the user can know, as a sentence that has to be true; null: nothing. */
  readonly confirm: string | null;
  /** Logic units that no plan counts because they lie outside the memories, for example a column multiplexer. */
  readonly extraLuts: number;
}

/** A change with what is usual left out: it needs nothing and stays the same in capacity and behaviour. */
export function change(
  fields: Pick<Change, "kind" | "subject" | "title" | "edits"> & Partial<Change>,
): Change {
  return { effect: "same", needs: [], confirm: null, extraLuts: 0, ...fields };
}

/** Places of the design file that a change touches, as paths. A new entry touches none. */
export function touched({ edits }: Pick<Change, "edits">): string[] {
  return edits.flatMap((edit) => ("path" in edit ? [edit.path] : []));
}

/** True where one path is the other or lies inside it. */
export function overlaps(a: string, b: string): boolean {
  return a === b || a.startsWith(`${b}.`) || b.startsWith(`${a}.`);
}
