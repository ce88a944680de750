import type { Stage } from "../program/index.js";
import type { Component } from "./components.js";
import type { Held } from "./held.js";
import type { Cut } from "./limits.js";

/** What is the same of a stage however it is solved. */
export interface StageFrame extends Pick<Stage, "settled" | "budgets" | "owners"> {
  /** The components of its owners. */
  readonly components: readonly Component[];
}

/** What the search for some objectives, one after the other, came to. */
export interface Step {
  readonly held: Held | null;
  /** How many of the objectives are proven to be at their least. */
  readonly proven: number;
  /** Lower bound on the first objective; null: none known. */
  readonly bound: number | null;
  /** The columns that the best solutions of the first objective may use; null: all. */
  readonly columns: Stage["columns"];
  /** The bound where it is worth a row in an engine's program; null: it is not. */
  readonly floor: number | null;
  /** What was proved about all solutions of a value of the first objective, for later ones. */
  readonly cut: ((value: number) => Cut) | null;
  /** The columns that the best solutions of what is proven so far may use, for later objectives; null: all. */
  readonly lasting: Stage["columns"];
}
