import type * as z from "zod";
import { type DesignRead, readDesign } from "./design.js";
import type { designSchema } from "./design-schema.js";
import { InputError } from "./diagnostics.js";

/** A design as plain data: the keys and values of a design file, with sizes and clocks as text with their units. */
export type DesignData = z.input<typeof designSchema>;

/**
 * A design from plain data: its structures become memory requests, each with the formula that gave its depth and width. The
 * same checks are made as for a design file; throws {@link InputError} with all that is wrong, whose places are in the data
 * written as JSON (`error.source.text`).
 */
export function derive(data: DesignData): DesignRead {
  // JSON is YAML, so that data and files are read in the same way.
  const source = { file: "design", text: JSON.stringify(data, null, 2) ?? "" };
  const read = readDesign(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return read;
}
