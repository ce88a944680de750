import { type DesignFile, designSchema } from "../../input/design-schema.js";
import { unknownKey } from "../../input/schema-keys.js";
import type { NameValue } from "./expression.js";

/** A key that no form has: what is asked for to learn the keys that there are. */
const NO_KEY = "\0";

/** Keys of the design itself that hold lists of entries, or name what is no input. */
const LISTS: ReadonlySet<string> = new Set(["memories", "structures"]);

/**
 * The inputs of a design by name: `l1d.ways`, `clock`, `patterns.tables.count`; defaults are filled in, sizes are in
 * bits, clocks in MHz, and a key that is left out and has no default is null.
 */
export function inputsOf(file: DesignFile): Map<string, NameValue> {
  const found = new Map<string, NameValue>();
  for (const key of Object.keys(designSchema.shape)) {
    if (!LISTS.has(key)) add(found, key, file[key as keyof DesignFile] ?? null);
  }
  for (const list of ["memories", "structures"] as const) {
    file[list].forEach((entry, index) => {
      const known = unknownKey(designSchema, file, [list, String(index), NO_KEY])?.names ?? [];
      const values = entry as unknown as Record<string, unknown>;
      for (const key of new Set([...known, ...Object.keys(values)])) {
        if (key !== "name") add(found, `${entry.name}.${key}`, values[key] ?? null);
      }
    });
  }
  return found;
}

/** Adds a value under its name, and those inside of a mapping under theirs. */
function add(found: Map<string, NameValue>, name: string, value: unknown): void {
  if (typeof value === "object" && value !== null && !Array.isArray(value)) {
    for (const [key, inner] of Object.entries(value)) add(found, `${name}.${key}`, inner);
  } else {
    found.set(name, value as NameValue);
  }
}
