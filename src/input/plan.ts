import type { Plan } from "../model/index.js";
import { type Diagnostic, InputError, type Source } from "./diagnostics.js";
import { found } from "./explain-issue.js";
import { PLAN_FORMAT, planSchema } from "./plan-schema.js";
import { readSource } from "./read-source.js";
import { checkData, inOrder, MAX_TEXT_BYTES, parseYaml, type Ranges, rangesIn } from "./read-yaml.js";

/** Most bytes of a saved plan: 64 MiB. Beyond 4 MiB its errors are told without their place. */
export const MAX_PLAN_BYTES = 64 * 1024 * 1024;

/** A saved plan, or all that is wrong with its form. */
export type ReadPlan =
  | { readonly ok: true; readonly plan: Plan }
  | { readonly ok: false; readonly diagnostics: readonly Diagnostic[] };

/** The data of a JSON text; undefined where it is not JSON. */
function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

const FORMAT = /"format"\s*:\s*("(?:[^"\\]|\\.)*")/d;

/**
 * Whether a text is meant as a saved plan rather than a design: a JSON mapping with the key `format` or `totals`, which
 * no design has. A text that is broken JSON counts by the words in it.
 */
export function looksLikePlan(text: string): boolean {
  if (!/^\s*\{/.test(text)) return false;
  const data = parsed(text);
  if (data === undefined) return FORMAT.test(text);
  return typeof data === "object" && data !== null && ("format" in data || "totals" in data);
}

const NOWHERE: Ranges = { rangeOf: () => null, rangeOfKey: () => null };

/** Where the keys of a saved plan stand; nowhere in a text that is too long to look through. */
export function planRanges(source: Source): Ranges {
  if (Buffer.byteLength(source.text) > MAX_TEXT_BYTES) return NOWHERE;
  const read = parseYaml(source.text, () => {});
  return read === null ? NOWHERE : rangesIn(source.text, read.document);
}

function notJson(source: Source): Diagnostic[] {
  const { file, text } = source;
  const diagnostics: Diagnostic[] = [];
  if (Buffer.byteLength(text) <= MAX_TEXT_BYTES) {
    parseYaml(text, (code, message, range) =>
      diagnostics.push({ code, severity: "error", message, range, file }),
    );
  }
  if (diagnostics.length > 0) return inOrder(diagnostics);
  const message = "expected JSON, found text that is not";
  return [{ code: "yaml-syntax", severity: "error", message, range: null, file }];
}

/** A diagnostic where the plan is of another format, the only thing to say of it then. */
function otherFormat(source: Source, data: unknown): Diagnostic | null {
  const format = typeof data === "object" && data !== null && "format" in data ? data.format : undefined;
  if (typeof format !== "string" || format === PLAN_FORMAT) return null;
  const place = FORMAT.exec(source.text)?.indices?.[1];
  const cure = format.startsWith("ramtailor-plan/")
    ? "; it was saved by another version: pack the design anew"
    : "; a saved plan is what pack writes with --json";
  return {
    code: "plan-format",
    severity: "error",
    message: `format: expected ${JSON.stringify(PLAN_FORMAT)}, found ${found(format)}${cure}`,
    range: place === undefined ? null : { start: place[0], end: place[1] },
    file: source.file,
  };
}

/**
 * Reads a saved plan, as `planJson` writes it, and checks its form; that its figures add up is for `checkFigures`. A
 * plan of another format version is refused. Never throws for what stands in the text.
 */
export function readPlan(source: Source): ReadPlan {
  const data = parsed(source.text);
  if (data === undefined) return { ok: false, diagnostics: notJson(source) };
  const other = otherFormat(source, data);
  if (other !== null) return { ok: false, diagnostics: [other] };
  const result = planSchema.safeParse(data);
  if (result.success) return { ok: true, plan: result.data };
  const diagnostics: Diagnostic[] = [];
  checkData(data, planSchema, planRanges(source), (code, message, range) =>
    diagnostics.push({ code, severity: "error", message, range, file: source.file }),
  );
  return { ok: false, diagnostics: inOrder(diagnostics) };
}

/** Reads the file of a saved plan. Throws {@link InputError} where it cannot be read or its form is wrong. */
export function loadPlan(path: string): { readonly plan: Plan; readonly source: Source } {
  const source = readSource(path, MAX_PLAN_BYTES);
  const read = readPlan(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return { plan: read.plan, source };
}
