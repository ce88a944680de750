import { Ajv2020 } from "ajv/dist/2020.js";
import { jsonSchema } from "../../src/input/json-schema.js";
import type { SchemaName } from "../../src/input/schema-names.js";

/** Whether data follows a JSON Schema of ours, as an independent reader of JSON Schema sees it. */
export function follows(name: SchemaName): (data: unknown) => boolean {
  const reader = new Ajv2020({ strict: true, allowUnionTypes: true });
  return reader.compile(JSON.parse(JSON.stringify(jsonSchema(name))));
}
