/**
 * What the page and its worker say to each other: plain data, copied between threads.
 */
import type { Figures, ReshapeRow } from "../../advise/reshape/index.js";
import type { DesignEdit } from "../../input/index.js";
import type { Device, Plan } from "../../model/index.js";

/** How a key takes its value. */
export type FieldForm = "whole" | "bits" | "size" | "ways" | "ports" | "choice" | "flag";

/** A key of a memory or structure that can be turned. */
export interface Field {
  /** As `editDesign` takes it, for example `l1d.ways`. */
  readonly path: string;
  /** The key as it is shown: `ways`, `tables.count`. */
  readonly label: string;
  readonly form: FieldForm;
  /** As it is written, or the default; null: not set, and there is no default. */
  readonly value: string | number | boolean | null;
  /** False where the file does not have it. */
  readonly written: boolean;
  /** The words of a choice. */
  readonly words: readonly string[];
  /** True: the next value is usually twice as large. */
  readonly doubles: boolean;
}

/** A memory or structure with its keys. */
export interface FieldGroup {
  readonly name: string;
  /** `memory` or the kind of structure. */
  readonly kind: string;
  readonly fields: readonly Field[];
}

/** A problem of the text with its place; line and column from 1, null where it is about the whole. */
export interface Mark {
  readonly severity: "error" | "warning";
  readonly message: string;
  readonly line: number | null;
  readonly column: number | null;
}

/** A change of several keys, or of one that the file does not have as such (`sets`). */
export type PageEdit = DesignEdit | { readonly sets: string; readonly value: number };

export type Request =
  | {
      readonly kind: "start";
      readonly devices: Readonly<Record<string, Device>>;
    }
  | {
      readonly kind: "pack";
      readonly id: number;
      readonly text: string;
      readonly file: string;
      /** null: the design's own. */
      readonly device: string | null;
      readonly edits: readonly PageEdit[];
      readonly deadlineMs: number;
      readonly engine: "auto" | "highs";
    }
  | {
      readonly kind: "reshape";
      readonly id: number;
      readonly text: string;
      readonly file: string;
      readonly device: string | null;
      readonly allow: readonly ("size" | "behaviour")[];
      readonly deadlineMs: number;
    };

/** The design after its edits, and what became of it. */
export interface Packed {
  readonly kind: "pack";
  readonly id: number;
  readonly text: string;
  readonly groups: readonly FieldGroup[];
  /** The device that the design names. */
  readonly ownDevice: string | null;
  readonly marks: readonly Mark[];
  /** The problems as the command line prints them; "" for none. */
  readonly printed: string;
  /** null where the text has errors. */
  readonly result: { readonly plan: Plan; readonly device: Device } | null;
  readonly milliseconds: number;
}

export interface Advice {
  readonly kind: "reshape";
  readonly id: number;
  readonly rows: readonly ReshapeRow[];
  /** The design as it stands; null where there is a problem. */
  readonly before: Figures | null;
  /** What keeps it from looking; null: nothing. */
  readonly problem: string | null;
}

export type Answer =
  | Packed
  | Advice
  | { readonly kind: "fault"; readonly id: number; readonly message: string };
