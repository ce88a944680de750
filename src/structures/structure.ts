import type * as z from "zod";
import type { MemoryRequest } from "../model/index.js";

/** What a structure needs of the memory of the chip. */
export interface Derived {
  /** Each with its `formula`; `source` is null, for whoever read the file to fill in. */
  readonly requests: readonly MemoryRequest[];
  /** What the user should know, one sentence each, without the structure's name. */
  readonly warnings: readonly string[];
}

/**
 * A kind of structure that an architect can write down. `P` is its parameters after the schema has read them:
 * sizes in bits, defaults filled in, rules between fields checked.
 */
export interface StructureDefinition<P = unknown> {
  /** The value of `kind` in a design file. */
  readonly kind: string;
  /** One line for a list of kinds. */
  readonly summary: string;
  /** Takes the whole mapping of the file, `kind` and `name` included. */
  readonly schema: z.ZodType<P>;
  /** Turns parameters that `schema` has read into memory requests. Not defined for others. */
  derive(parameters: P): Derived;
}

/** Ties a schema to the derivation that takes what it reads. */
export function defineStructure<P>(definition: StructureDefinition<P>): StructureDefinition<P> {
  return definition;
}
