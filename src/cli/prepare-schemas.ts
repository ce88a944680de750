import { mkdirSync, writeFileSync } from "node:fs";
import { jsonSchema } from "../input/json-schema.js";
import { SCHEMA_NAMES } from "../input/schema-names.js";

// A step of the build: the package brings the JSON Schemas of its files, for editors.
const folder = new URL("../schema/", import.meta.url);
mkdirSync(folder, { recursive: true });
for (const name of SCHEMA_NAMES) {
  writeFileSync(new URL(`${name}.json`, folder), JSON.stringify(jsonSchema(name)));
}
