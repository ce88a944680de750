import { stringify } from "yaml";

/** A value as an edit states it: plain data that YAML can hold. */
export type EditValue =
  | string
  | number
  | boolean
  | readonly EditValue[]
  | { readonly [key: string]: EditValue };

/** How a scalar was quoted, where its replacement should be quoted alike. */
export type Quotes = "QUOTE_DOUBLE" | "QUOTE_SINGLE";

function scalar(value: string | number | boolean): string {
  // Inside a list text is quoted wherever flow style asks for it, which is right in block style too.
  return stringify([value], { collectionStyle: "flow", flowCollectionPadding: false, lineWidth: 0 })
    .trimEnd()
    .slice(1, -1);
}

/** A value on one line, in flow style: `5`, `16 KiB`, `[LUT, registers]`, `{ group: tags, members: 2 }`. */
export function flowText(value: EditValue, quotes: Quotes | null = null): string {
  if (typeof value === "string" && quotes === "QUOTE_SINGLE" && !/[^ -~]/.test(value)) {
    return `'${value.replaceAll("'", "''")}'`;
  }
  if (typeof value === "string" && quotes === "QUOTE_DOUBLE") return JSON.stringify(value);
  if (typeof value !== "object") return scalar(value);
  if (isList(value)) return `[${value.map((item) => flowText(item)).join(", ")}]`;
  const pairs = Object.entries(value).map(([key, item]) => `${scalar(key)}: ${flowText(item)}`);
  return pairs.length === 0 ? "{}" : `{ ${pairs.join(", ")} }`;
}

/** A mapping in block style, one key a line; lines after the first begin with `indent`. */
export function blockText(value: Readonly<Record<string, EditValue>>, newline: string): string {
  return Object.entries(value)
    .map(([key, item]) => `${scalar(key)}: ${flowText(item)}`)
    .join(newline);
}

function isList(value: object): value is readonly EditValue[] {
  return Array.isArray(value);
}
