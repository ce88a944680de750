/** The files whose form can be had as JSON Schema. */
export const SCHEMA_NAMES = ["design", "device", "plan"] as const;
export type SchemaName = (typeof SCHEMA_NAMES)[number];
