import type { NameValue } from "./expression.js";
import { OptionError } from "./option-error.js";
import { unknownName } from "./unknown-name.js";

/** A figure that rows are compared by, and which end of it is better. */
export interface Metric {
  /** An input or a result, as in an expression: `blocks`, `l1d.size`. */
  readonly name: string;
  readonly goal: "min" | "max";
}

/**
 * Reads metrics as `--pareto` and `--sort` take them: `blocks,capacity:max`; without an end, less is better. `option`
 * is the option's name for errors. Throws {@link OptionError} for a name or an end that does not exist.
 */
export function readMetrics(option: string, text: string, names: readonly string[]): Metric[] {
  return text.split(",").map((part) => {
    const [name = "", goal = "min", ...more] = part.trim().split(":");
    if ((goal !== "min" && goal !== "max") || more.length > 0) {
      const message = `${option}: expected NAME, NAME:min or NAME:max, found ${JSON.stringify(part)}`;
      throw new OptionError("wrong-option-value", message);
    }
    if (!names.includes(name)) throw unknownName(option, name, names, "names");
    return { name, goal };
  });
}

/** The figure as one of which less is better; a value that is not known is worst. Throws {@link OptionError} for text. */
export function metricCost({ name, goal }: Metric, value: NameValue): number {
  if (value === null) return Number.POSITIVE_INFINITY;
  if (typeof value !== "number" && typeof value !== "boolean") {
    throw new OptionError("wrong-option-value", `${JSON.stringify(name)} is no number, so it orders nothing`);
  }
  return goal === "min" ? Number(value) : -Number(value);
}

/**
 * For each row of costs whether no other is at least as good in all of them and better in one. In falling order of worth
 * a row can only be beaten by one before it, and then by one of the best, so each is held against those alone.
 */
export function paretoMarks(rows: readonly (readonly number[])[]): boolean[] {
  const order = rows.map((_, index) => index).sort((a, b) => compareCosts(rows[a]!, rows[b]!));
  const marks = rows.map(() => false);
  const best: (readonly number[])[] = [];
  for (const index of order) {
    const row = rows[index]!;
    const beats = (other: readonly number[]) =>
      other.every((cost, i) => cost <= row[i]!) && other.some((cost, i) => cost < row[i]!);
    if (best.some(beats)) continue;
    marks[index] = true;
    if (best.at(-1)?.every((cost, i) => cost === row[i]) !== true) best.push(row);
  }
  return marks;
}

/** Order of two rows of costs, the first cost first. */
export function compareCosts(a: readonly number[], b: readonly number[]): number {
  for (const [i, cost] of a.entries()) {
    if (cost !== b[i]) return cost < b[i]! ? -1 : 1;
  }
  return 0;
}
