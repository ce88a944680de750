import { reshape } from "../../advise/reshape/index.js";
import { CandidateMemo } from "../../candidates/index.js";
import { checkAgainstDevice } from "../../input/check-against-device.js";
import { type DesignRead, readDesign } from "../../input/design.js";
import { type Diagnostic, hasErrors, InputError, type Source } from "../../input/diagnostics.js";
import { type DesignEdit, editDesign } from "../../input/edit-design.js";
import { findDevice } from "../../input/find-device.js";
import { positionOf, printDiagnostics } from "../../input/print.js";
import { parseYaml } from "../../input/read-yaml.js";
import type { Device } from "../../model/index.js";
import { parseSize, sizeName } from "../../model/units.js";
import { NothingLegalError } from "../../plan/nothing-legal.js";
import { pack } from "../../plan/pack.js";
import { fieldGroups } from "./fields.js";
import type { Advice, Mark, Packed, PageEdit, Request } from "./messages.js";

/** Candidates are kept between packings: most of a design stays the same from one to the next. */
const memo = new CandidateMemo();

interface Ready {
  readonly read: DesignRead;
  readonly device: Device;
}

/** The design and device of a text. Throws InputError with all that is wrong. */
function ready(source: Source, wanted: string | null): Ready {
  const read = readDesign(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  const name = wanted ?? read.design.device;
  if (name === null) {
    const message = "no device is named: choose one, or write `device: NAME` in the design";
    throw new InputError(source, [
      { code: "missing-key", severity: "error", message, range: null, file: source.file },
    ]);
  }
  const device = findDevice(name);
  const found = checkAgainstDevice(read, device);
  if (hasErrors(found)) throw new InputError(source, found);
  const notes = found.map(({ message, range }) => ({ subject: read.design.name, message, source: range }));
  return {
    read: { ...read, design: { ...read.design, warnings: [...read.design.warnings, ...notes] } },
    device,
  };
}

/** What a failed attempt says of the text; a fault of ours goes on. */
function problemsOf(error: unknown, source: Source): readonly Diagnostic[] {
  if (error instanceof InputError) return error.diagnostics;
  if (!(error instanceof NothingLegalError)) throw error;
  return error.homeless.map(({ request, reason }) => ({
    code: "nothing-legal",
    severity: "error",
    message: `${request.name}: ${reason}`,
    range: request.source,
    file: source.file,
  }));
}

function markOf(
  text: string,
  { severity, message, range }: Pick<Diagnostic, "severity" | "message" | "range">,
): Mark {
  const place = range === null ? null : positionOf(text, range.start);
  return { severity, message, line: place?.line ?? null, column: place?.column ?? null };
}

/** The edits of the design file that an edit of the page stands for: sets are size divided by ways and line. */
function designEdits(text: string, edit: PageEdit): DesignEdit[] {
  if (!("sets" in edit)) return [edit];
  const data = parseYaml(text, () => {})?.data as
    | { structures?: readonly Record<string, unknown>[] }
    | undefined;
  const cache = data?.structures?.find(({ name }) => name === edit.sets);
  const line = typeof cache?.line === "string" ? parseSize(cache.line) : null;
  const ways = cache?.ways ?? 1;
  if (line === null || typeof ways !== "number") return [];
  return [{ path: `${edit.sets}.size`, value: sizeName(edit.value * ways * line) }];
}

function edited(
  text: string,
  edits: readonly PageEdit[],
): { readonly text: string; readonly problem: string | null } {
  let now = text;
  for (const edit of edits) {
    const next = editDesign(now, designEdits(now, edit));
    if (!next.ok) return { text: now, problem: next.problem };
    now = next.text;
  }
  return { text: now, problem: null };
}

/** Edits a text, reads it and packs it. */
export async function packText(request: Extract<Request, { kind: "pack" }>): Promise<Packed> {
  const started = performance.now();
  const after = edited(request.text, request.edits);
  const source = { file: request.file, text: after.text };
  const groups = fieldGroups(source.text) ?? [];
  let ownDevice: string | null = null;
  let marks: Mark[] = [];
  let printed = "";
  let result: Packed["result"] = null;
  try {
    const own = readDesign(source);
    if (own.ok) ownDevice = own.design.device;
    const { read, device } = ready(source, request.device);
    const { deadlineMs, engine } = request;
    const plan = await pack(read.design, device, { memo, deadlineMs, engine });
    result = { plan, device };
    marks = read.design.warnings.map(({ subject, message, source: range }) =>
      markOf(source.text, { severity: "warning", message: `${subject}: ${message}`, range }),
    );
  } catch (error) {
    const problems = problemsOf(error, source);
    marks = problems.map((problem) => markOf(source.text, problem));
    printed = printDiagnostics(source, problems);
  }
  if (after.problem !== null) {
    marks.unshift({ severity: "error", message: after.problem, line: null, column: null });
  }
  const { id } = request;
  const milliseconds = performance.now() - started;
  return { kind: "pack", id, text: source.text, groups, ownDevice, marks, printed, result, milliseconds };
}

/** Looks for changes worth making. */
export async function adviseText(request: Extract<Request, { kind: "reshape" }>): Promise<Advice> {
  const source = { file: request.file, text: request.text };
  const answer = { kind: "reshape", id: request.id } as const;
  try {
    const { read, device } = ready(source, request.device);
    const { allow, deadlineMs } = request;
    const { rows, before } = await reshape(read, device, { allow, deadlineMs, memo });
    return { ...answer, rows, before, problem: null };
  } catch (error) {
    return {
      ...answer,
      rows: [],
      before: null,
      problem: problemsOf(error, source)[0]?.message ?? "nothing can be packed",
    };
  }
}
