import { parse } from "yaml";
import { parseSize, sizeName } from "../../model/units.js";
import { OptionError } from "./option-error.js";

/** A value that a sweep gives a key of the design: a YAML scalar. */
export type AxisValue = string | number | boolean;

/** One key of the design and the values that it takes. */
export interface Axis {
  /** As `editDesign` takes it: `l1d.ways`, `clock`. */
  readonly path: string;
  /** At least one; all different. */
  readonly values: readonly AxisValue[];
}

/** Most values of one axis. */
const MOST_VALUES = 10_000;

/** A range: from, to, and by what the next value comes: `*2` or `+4`; left out: +1. */
const RANGE = /^(\d[^.]*)\.\.(\d[^*+]*?)(?:\s*([*+])\s*(\d{1,9}))?$/;

/**
 * Reads an axis as `--vary` takes it: `PATH=VALUE,VALUE,...`. A value is a YAML scalar (`4`, `16 KiB`, `tree-plru`,
 * `true`) or a range of whole numbers or sizes: `1..8`, `1..64*2`, `4 KiB..64 KiB*2`, `0..20+4`. Throws
 * {@link OptionError} for any other text.
 */
export function readAxis(text: string): Axis {
  const wrong = (why: string) =>
    new OptionError("wrong-option-value", `--vary ${JSON.stringify(text)}: ${why}`);
  const at = text.indexOf("=");
  const path = text.slice(0, Math.max(0, at)).trim();
  if (path === "") throw wrong("expected PATH=VALUE,VALUE, for example l1d.ways=1,2,4");
  let list: unknown;
  try {
    list = parse(`[${text.slice(at + 1)}]`, { version: "1.2", schema: "core", logLevel: "error" });
  } catch {
    throw wrong("expected YAML scalars with commas between them");
  }
  if (!Array.isArray(list) || list.length === 0) throw wrong("expected at least one value");
  const values = new Set<AxisValue>();
  for (const item of list as unknown[]) {
    if (typeof item !== "string" && typeof item !== "number" && typeof item !== "boolean") {
      throw wrong(`expected scalars, found ${JSON.stringify(item)}`);
    }
    for (const value of typeof item === "string" ? rangeValues(item, wrong) : [item]) values.add(value);
    if (values.size > MOST_VALUES) throw wrong(`expected at most ${MOST_VALUES} values, found more`);
  }
  return { path, values: [...values] };
}

/** The values of a range; the text itself where it is none. */
function rangeValues(text: string, wrong: (why: string) => OptionError): readonly AxisValue[] {
  const match = RANGE.exec(text);
  if (match === null) return [text];
  const [, from = "", to = "", sign = "+", by = "1"] = match;
  const plain = /^\d{1,12}$/.test(from) && /^\d{1,12}$/.test(to);
  const [start, end] = [from, to].map((end) => (plain ? Number(end) : parseSize(end.trim())));
  if (start === null || end === null || start === undefined || end === undefined) {
    throw wrong(`expected whole numbers or sizes at both ends of ${JSON.stringify(text)}`);
  }
  const step = Number(by);
  // Steps of a range of sizes are in its first unit: 4 KiB..16 KiB+4.
  const unit = plain ? 1 : parseSize(`1 ${/[A-Za-z]+$/.exec(from.trim())![0]}`)!;
  if (start > end) throw wrong(`expected a range that rises, found ${JSON.stringify(text)}`);
  if (sign === "*" ? step < 2 || start === 0 : step < 1) {
    throw wrong(`expected a step that leads on in ${JSON.stringify(text)}`);
  }
  const values: AxisValue[] = [];
  for (let value = start; value <= end; value = sign === "*" ? value * step : value + step * unit) {
    values.push(plain ? value : sizeName(value));
    if (values.length > MOST_VALUES) throw wrong(`expected at most ${MOST_VALUES} values, found more`);
  }
  return values;
}
