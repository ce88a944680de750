import type { Cst } from "./grammar.js";

/** The preprocessed text of one unit, and how its parts are named and placed. */
export class UnitText {
  constructor(
    private readonly text: string,
    /** Offset of this unit in the text of all units. */
    private readonly base: number,
  ) {}

  /** Offset of a node in the text of all units. */
  at({ start }: { readonly start: number }): number {
    return this.base + start;
  }

  textOf({ start, end }: Pick<Cst, "start" | "end">): string {
    return this.text.slice(start, end);
  }

  /** An identifier; an escaped one without its backslash. */
  nameOf(node: Pick<Cst, "start" | "end">): string {
    return this.textOf(node).trim().replace(/^\\/, "");
  }

  /** Every identifier in a node's text. */
  wordsOf(node: Pick<Cst, "start" | "end">): Set<string> {
    return new Set(this.textOf(node).match(/[A-Za-z_][\w$]*|(?<=\\)\S+/g) ?? []);
  }
}
