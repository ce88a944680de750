import * as z from "zod";

/** Inner schemas of those that only wrap another: optional, default, transformed. */
function unwrapped(schema: z.core.$ZodType): z.core.$ZodType {
  const { innerType, in: piped } = schema._zod.def as { innerType?: z.core.$ZodType; in?: z.core.$ZodType };
  const inner = innerType ?? piped;
  return inner === undefined ? schema : unwrapped(inner);
}

/** Schemas that a value may follow; of alternatives told apart by a key of the value, those of its word. */
function alternatives(schema: z.core.$ZodType, value: unknown): z.core.$ZodType[] {
  const bare = unwrapped(schema);
  if (!(bare instanceof z.ZodUnion)) return [bare];
  const all = bare.options.flatMap((option) => alternatives(option as z.core.$ZodType, value));
  const { discriminator } = bare._zod.def as { discriminator?: string };
  if (discriminator === undefined || typeof value !== "object" || value === null) return all;
  const word = (value as Record<string, unknown>)[discriminator];
  const fitting = all.filter(
    (each) => each instanceof z.ZodObject && each.shape[discriminator]?.safeParse(word).success,
  );
  return fitting.length > 0 ? fitting : all;
}

/** The schemas of the value under a key; [] where the schema has no such key. */
function below(schema: z.core.$ZodType, key: string): z.core.$ZodType[] {
  if (schema instanceof z.ZodObject) return Object.hasOwn(schema.shape, key) ? [schema.shape[key]] : [];
  if (schema instanceof z.ZodRecord) return [schema._zod.def.valueType];
  if (schema instanceof z.ZodArray) return /^\d+$/.test(key) ? [schema.element as z.core.$ZodType] : [];
  return [];
}

/** The part of a path up to a key that is not known, and the keys that are known there. */
export interface UnknownKey {
  readonly at: number;
  readonly names: readonly string[];
}

/**
 * The first key of a path that the schema does not have, given the data that stands there now; null where it has
 * them all. A list has its positions, a record every name.
 */
export function unknownKey(
  schema: z.core.$ZodType,
  data: unknown,
  path: readonly string[],
): UnknownKey | null {
  let schemas: readonly z.core.$ZodType[] = [schema];
  let value = data;
  for (const [at, key] of path.entries()) {
    const here = schemas.flatMap((each) => alternatives(each, value));
    schemas = here.flatMap((each) => below(each, key));
    if (schemas.length === 0) {
      const names = here.flatMap((each) => (each instanceof z.ZodObject ? Object.keys(each.shape) : []));
      return { at, names: [...new Set(names)] };
    }
    value = typeof value === "object" && value !== null ? (value as Record<string, unknown>)[key] : undefined;
  }
  return null;
}
