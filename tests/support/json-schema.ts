import * as z from "zod";
import { jsonSchema, type SchemaName } from "../../src/input/json-schema.js";

/** Whether data follows a JSON Schema of ours, as a reader of JSON Schema sees it that knows nothing of our definitions. */
export function follows(name: SchemaName): (data: unknown) => boolean {
  const schema = JSON.parse(JSON.stringify(jsonSchema(name)));
  const reader = z.fromJSONSchema(schema);
  return (data) => reader.safeParse(data).success;
}
