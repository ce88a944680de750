import * as z from "zod";
import { designSchema } from "../../input/design-schema.js";
import { parseYaml } from "../../input/read-yaml.js";
import { parseSize, sizeName } from "../../model/units.js";
import { STRUCTURES } from "../../structures/index.js";
import type { Field, FieldForm, FieldGroup } from "./messages.js";

type Data = Readonly<Record<string, unknown>>;

/** Keys whose next value is usually twice as large. */
const DOUBLING = new Set(["ways", "sets", "line", "size", "entries", "banks", "page", "access", "refill"]);
/** Keys that have a place of their own, or are no knob. */
const LEFT_OUT = new Set(["kind", "scheme", "name", "in", "tag_in", "lockstep", "exclusive"]);

interface Form {
  readonly form: FieldForm;
  readonly words: readonly string[];
  readonly standard: unknown;
}

/** How a schema takes its value; null: not as one number, word or flag. */
function formOf(key: string, schema: z.core.$ZodType, standard: unknown = undefined): Form | null {
  const def = schema._zod.def as {
    type: string;
    innerType?: z.core.$ZodType;
    in?: z.core.$ZodType;
    defaultValue?: unknown;
    entries?: Record<string, string>;
    values?: readonly unknown[];
    options?: readonly z.core.$ZodType[];
  };
  const found = (form: FieldForm, words: readonly string[] = []): Form => ({ form, words, standard });
  if (key === "ports") return found("ports");
  switch (def.type) {
    case "default":
    case "prefault":
      return formOf(key, def.innerType!, def.defaultValue);
    case "optional":
      return formOf(key, def.innerType!, standard);
    case "number":
      return found("whole");
    case "boolean":
      return found("flag");
    case "enum":
      return found("choice", Object.keys(def.entries ?? {}));
    case "pipe": {
      const inner = def.in!._zod.def.type;
      return inner === "union" ? found("bits") : inner === "string" ? found("size") : null;
    }
    case "union": {
      const types = def.options!.map(({ _zod }) => _zod.def.type);
      if (types.includes("literal") && types.includes("number")) return found("ways");
      if (types.every((type) => type === "literal")) return found("whole");
      return null;
    }
    default:
      return null;
  }
}

function shown(value: unknown, form: FieldForm): Field["value"] {
  if (typeof value === "number" && form === "size") return sizeName(value);
  return typeof value === "string" || typeof value === "number" || typeof value === "boolean" ? value : null;
}

function fieldsOf(name: string, data: Data, shape: Readonly<Record<string, z.core.$ZodType>>): Field[] {
  const fields: Field[] = [];
  // Keys in the order in which they are written, then the others.
  const keys = [...new Set([...Object.keys(data), ...Object.keys(shape)])];
  for (const key of keys) {
    const schema = shape[key];
    const raw = data[key];
    if (schema === undefined || LEFT_OUT.has(key)) continue;
    if (typeof raw === "object" && raw !== null && !Array.isArray(raw)) {
      for (const [inner, value] of Object.entries(raw)) {
        if (typeof value !== "number") continue;
        const field = {
          form: "whole",
          value,
          written: true,
          words: [],
          doubles: DOUBLING.has(inner),
        } as const;
        fields.push({ path: `${name}.${key}.${inner}`, label: `${key}.${inner}`, ...field });
      }
      continue;
    }
    const form = formOf(key, schema);
    if (form === null) continue;
    fields.push({
      path: `${name}.${key}`,
      label: key,
      form: form.form,
      value: shown(raw ?? form.standard, form.form),
      written: raw !== undefined,
      words: form.words,
      doubles: DOUBLING.has(key),
    });
  }
  return fields;
}

/** Lines that fall on one address, from the keys as written; null where they do not say it. */
export function setsOf(data: Data): number | null {
  const bits = (value: unknown) => (typeof value === "string" ? parseSize(value) : null);
  const [size, line, ways] = [bits(data.size), bits(data.line), data.ways ?? 1];
  if (size === null || line === null || typeof ways !== "number" || ways < 1) return null;
  return size / (ways * line);
}

function setsField(name: string, data: Data): Field[] {
  const sets = setsOf(data);
  if (sets === null) return [];
  const rest = { form: "whole", value: Number(sets.toFixed(3)), written: true, words: [] } as const;
  return [{ path: `${name}.sets`, label: "sets", ...rest, doubles: true }];
}

/** Every entry of a design's text that can be read so far, with the keys that can be turned; null where it is no YAML. */
export function fieldGroups(text: string): FieldGroup[] | null {
  const data = parseYaml(text, () => {})?.data;
  if (typeof data !== "object" || data === null) return null;
  const entries = (list: string): Data[] => {
    const value = (data as Data)[list];
    if (!Array.isArray(value)) return [];
    return value.filter((entry) => typeof entry?.name === "string") as Data[];
  };
  const memory = designSchema.shape.memories.unwrap().element as unknown as z.ZodObject;
  const memories = entries("memories").map((entry) => ({
    name: entry.name as string,
    kind: "memory",
    fields: fieldsOf(entry.name as string, entry, memory.shape),
  }));
  const structures = entries("structures").map((entry) => {
    const schema = STRUCTURES.find(({ kind }) => kind === entry.kind)?.schema;
    const name = entry.name as string;
    return {
      name,
      kind: String(entry.kind ?? "structure"),
      fields: [
        ...fieldsOf(name, entry, shapeOf(schema, entry)),
        ...(entry.kind === "cache" ? setsField(name, entry) : []),
      ],
    };
  });
  return [...structures, ...memories];
}

/** The keys of a structure; of one with schemes, those of the scheme that is written. */
function shapeOf(
  schema: z.core.$ZodType | undefined,
  entry: Data,
): Readonly<Record<string, z.core.$ZodType>> {
  if (schema instanceof z.ZodObject) return schema.shape;
  if (!(schema instanceof z.ZodUnion)) return {};
  const options = schema.options as readonly z.core.$ZodType[];
  const fitting = options.find(
    (option) =>
      option instanceof z.ZodObject &&
      (option.shape.scheme as z.ZodType | undefined)?.safeParse(entry.scheme).success,
  );
  return fitting instanceof z.ZodObject ? fitting.shape : {};
}
