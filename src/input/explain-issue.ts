import type * as z from "zod";
import type { DiagnosticCode } from "./diagnostics.js";
import { nearestName } from "./nearest.js";

/** A problem that a schema found, reported together with the value that it was found in. */
export type Issue = z.core.$ZodIssue;

/** Longest text that a message repeats. */
const QUOTED = 40;

/** Text cut to a length that a message can repeat. */
export function clip(text: string): string {
  return text.length > QUOTED ? `${text.slice(0, QUOTED - 1)}…` : text;
}

/** A value in words, for "found ...". */
export function found(value: unknown): string {
  if (value === undefined || value === null) return "nothing";
  if (Array.isArray(value)) return value.length === 0 ? "an empty list" : "a list";
  if (typeof value === "object") return "a mapping";
  if (typeof value !== "string") return String(value);
  return JSON.stringify(clip(value));
}

function number(value: number | bigint): string {
  return value.toLocaleString("en-US", { maximumFractionDigits: 20 });
}

/** Alternatives in words: `a, b or c`. */
function either(words: readonly string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} or ${words.at(-1)}`;
}

const TYPES: Readonly<Record<string, string>> = {
  string: "text",
  number: "a number",
  int: "a whole number",
  boolean: "true or false",
  array: "a list",
  tuple: "a list",
  object: "a mapping",
  record: "a mapping",
  null: "nothing",
};

/** Things that are counted rather than measured: what they are, and one of what is counted in them. */
const COUNTED: Readonly<Record<string, readonly [what: string, one: string, many: string]>> = {
  string: ["text", "character", "characters"],
  array: ["a list", "entry", "entries"],
  object: ["a mapping", "key", "keys"],
  record: ["a mapping", "key", "keys"],
};

function bound(issue: Issue & { code: "too_big" | "too_small" }): string {
  const big = issue.code === "too_big";
  const limit = big ? issue.maximum : issue.minimum;
  const side = big ? "at most" : "at least";
  const strict = big ? "less than" : "more than";
  const words = `${issue.exact === true ? "exactly" : issue.inclusive === false ? strict : side} ${number(limit)}`;
  const counted = COUNTED[issue.origin];
  if (counted === undefined) return words;
  const [what, one, many] = counted;
  return `${what} of ${words} ${Number(limit) === 1 ? one : many}`;
}

/** The words that a closed list, or a union told apart by a key, allows. */
function options(issue: Issue): string[] {
  const names = issue.code === "invalid_value" ? issue.values : "options" in issue ? issue.options : [];
  return Array.isArray(names) ? names.filter((name) => typeof name === "string") : [];
}

/** What the schema would have taken; null where only its own message says. */
function expected(issue: Issue): string | null {
  switch (issue.code) {
    case "invalid_type":
      return TYPES[issue.expected] ?? issue.expected;
    case "too_big":
    case "too_small":
      return bound(issue);
    case "not_multiple_of":
      return `a multiple of ${number(issue.divisor)}`;
    case "invalid_value":
      return either(issue.values.map(String));
    case "invalid_union": {
      const parts = issue.errors.flatMap((branch) => (branch[0] === undefined ? [] : [expected(branch[0])]));
      const known = [...new Set(parts.filter((p) => p !== null))];
      if (known.length > 0) return either(known);
      const names = options(issue);
      return names.length === 0 ? null : either(names);
    }
    default:
      return null;
  }
}

function guess(issue: Issue, value: unknown): string {
  if (typeof value !== "string") return "";
  const near = nearestName(value, options(issue));
  return near === null ? "" : `; did you mean ${JSON.stringify(near)}?`;
}

/** "expected ..., found ..." of an issue whose schema has no words of its own. */
export function explain(issue: Issue): string {
  const wanted = expected(issue);
  if (wanted === null) return `is not legal here, found ${found(issue.input)}`;
  return issue.input === undefined ? `missing: expected ${wanted}` : `expected ${wanted}`;
}

/**
 * The message of a diagnostic: where, what was expected and what was found. `value` is what stands at the path of
 * the issue. Words that a schema has of its own may leave out what was found: it is added.
 */
export function messageOf(issue: Issue, name: string, value: unknown): string {
  const lacks = value === undefined && issue.code !== "custom" && issue.message.startsWith("expected");
  const words = lacks ? `missing: ${issue.message}` : issue.message;
  if (words.startsWith("missing: "))
    return `${name || "the file"} is missing, ${words.slice("missing: ".length)}`;
  const prefix = name === "" ? "" : `${name}: `;
  const open = words.startsWith("expected") && !words.includes(", found ");
  return `${prefix}${words}${open ? `, found ${found(value)}${guess(issue, value)}` : ""}`;
}

/** The sort of diagnostic that an issue becomes; an issue of our own rules names its sort in `params.diagnostic`. */
export function codeOf(issue: Issue, value: unknown): DiagnosticCode {
  if (issue.code === "custom") return issue.params?.diagnostic ?? "wrong-value";
  if (value === undefined) return "missing-key";
  if (issue.code === "invalid_type") return "wrong-type";
  if (issue.code !== "invalid_value" && issue.code !== "invalid_union") return "wrong-value";
  return typeof value === "string" && options(issue).length > 0 ? "unknown-name" : "wrong-type";
}

/** True where the value is not even of the type that this branch of a union takes. */
function refusesType(branch: readonly Issue[]): boolean {
  return branch.some((i) => i.path.length === 0 && (i.code === "invalid_type" || i.code === "invalid_value"));
}

/**
 * Issues with unions resolved: where the value has the type of one branch of a union, the problems are those of
 * that branch; else the union stays one issue. Paths are from the root.
 */
export function flatten(issues: readonly Issue[]): Issue[] {
  return issues.flatMap((issue) => {
    if (issue.code !== "invalid_union") return [issue];
    const near = issue.errors.filter((branch) => branch.length > 0 && !refusesType(branch));
    const [branch] = near.sort((a, b) => a.length - b.length);
    if (branch === undefined) return [issue];
    return flatten(branch.map((inner) => ({ ...inner, path: [...issue.path, ...inner.path] })));
  });
}

/**
 * One issue a value whose form is wrong, of two limits the closer one: what follows from the same slip is no news. Issues of
 * rules between values are all kept where the form is right.
 */
export function onePerForm(issues: readonly Issue[]): Issue[] {
  const placeOf = (issue: Issue) => JSON.stringify(issue.path.map(String));
  const limitOf = (issue: Issue) => (issue.code === "too_big" ? Number(issue.maximum) : 0);
  const kept = new Map<string, Issue>();
  for (const issue of issues) {
    if (issue.code === "custom" || issue.code === "unrecognized_keys") continue;
    const place = placeOf(issue);
    const other = kept.get(place);
    if (other === undefined || limitOf(issue) < limitOf(other)) kept.set(place, issue);
  }
  return issues.filter((issue) => {
    if (issue.code === "unrecognized_keys") return true;
    const form = kept.get(placeOf(issue));
    return form === undefined || form === issue;
  });
}
