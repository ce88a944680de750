import * as z from "zod";
import { designSchema } from "./design-schema.js";
import { deviceFileSchema } from "./device-schema.js";
import { planSchema } from "./plan-schema.js";
import type { SchemaName } from "./schema-names.js";

/** A JSON Schema, draft 2020-12, as plain data. */
export type JsonSchema = { readonly [key: string]: unknown };

interface Form {
  readonly schema: z.ZodType;
  readonly title: string;
  readonly description: string;
}

const FORMS: Readonly<Record<SchemaName, Form>> = {
  design: {
    schema: designSchema,
    title: "ramtailor design",
    description:
      "The memories of a system-on-chip. Rules between keys stand in the descriptions; reading the file checks them.",
  },
  device: {
    schema: deviceFileSchema(),
    title: "ramtailor device",
    description:
      "One FPGA family and its parts. A figure is written plain, or as a mapping of value and source. Figures are checked against each other when the file is read.",
  },
  plan: {
    schema: planSchema,
    title: "ramtailor plan",
    description: "A packed design, as JSON. That its figures add up is checked when it is read.",
  },
};

/**
 * The form of a file as JSON Schema (draft 2020-12), made from the definition that validates it: what it refuses,
 * reading refuses too. What has no form in JSON Schema (sums, names that must differ, rules between keys) is told in
 * the descriptions.
 */
export function jsonSchema(name: SchemaName): JsonSchema {
  const { schema, title, description } = FORMS[name];
  const { $schema, ...body } = z.toJSONSchema(schema, { io: "input" });
  return { $schema, title, description, ...body };
}
