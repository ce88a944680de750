import { z } from "zod";

/** What a mapping of a design file may hold, as its schema says. */
export interface Keys {
  readonly required: readonly string[];
  readonly optional: readonly string[];
  /** Keys that take one of a few words, with the words. */
  readonly words: ReadonlyMap<string, readonly string[]>;
}

/** A schema without what makes it optional or gives it a default. */
export function bare(schema: z.core.$ZodType): z.core.$ZodType {
  if (schema instanceof z.ZodDefault || schema instanceof z.ZodOptional) return bare(schema.def.innerType);
  return schema;
}

/** Keys of a mapping's schema. Throws for a schema of another form. */
export function keysOf(schema: z.core.$ZodType): Keys {
  if (!(schema instanceof z.ZodObject)) throw new Error(`no schema of a mapping: ${schema._zod.def.type}`);
  const fields = Object.entries(schema.shape as Record<string, z.core.$ZodType>);
  const mayBeLeftOut = (field: z.core.$ZodType) => z.safeParse(field, undefined).success;
  const words = fields.flatMap(([key, field]) => {
    const inner = bare(field);
    return inner instanceof z.ZodEnum ? [[key, inner.options.map(String)] as const] : [];
  });
  return {
    required: fields.filter(([, field]) => !mayBeLeftOut(field)).map(([key]) => key),
    optional: fields.filter(([, field]) => mayBeLeftOut(field)).map(([key]) => key),
    words: new Map(words),
  };
}

/** The mappings that a structure's schema takes: one, or one for each `scheme`. */
export function variantsOf(schema: z.core.$ZodType): readonly { scheme: string | null; keys: Keys }[] {
  if (!(schema instanceof z.ZodDiscriminatedUnion)) return [{ scheme: null, keys: keysOf(schema) }];
  return schema.options.map((option) => {
    const scheme = option instanceof z.ZodObject ? option.shape.scheme : undefined;
    if (!(scheme instanceof z.ZodLiteral)) throw new Error("a variant without a scheme");
    return { scheme: String(scheme.value), keys: keysOf(option) };
  });
}
