import { type DesignRead, editDesign, readDesign, type Source } from "../../input/index.js";
import { positionOf } from "../../input/print.js";
import { figure } from "../../model/words.js";
import type { Axis, AxisValue } from "./axis.js";
import { OptionError } from "./option-error.js";

/** One value for each axis, by the axis's path. */
export type Values = Readonly<Record<string, AxisValue>>;

/** The design with one value for each axis. */
export interface Combination {
  /** From 0, the last axis running fastest. */
  readonly index: number;
  readonly values: Values;
  /** The changed design, or the first thing that is wrong with it. */
  readonly read: DesignRead | { readonly ok: false; readonly problem: string };
}

/** Most combinations of a sweep. */
const MOST_COMBINATIONS = 1_000_000;

/** The number of combinations of some axes; 1 where there is none. */
export function combinationCount(axes: readonly Axis[]): number {
  return axes.reduce((product, { values }) => product * values.length, 1);
}

/**
 * Throws {@link OptionError} where two axes have one path, a path is no key of the design, or there are more than a
 * million combinations.
 */
export function checkAxes(source: Source, axes: readonly Axis[]): void {
  const paths = axes.map(({ path }) => path);
  for (const [i, { path, values }] of axes.entries()) {
    if (paths.indexOf(path) !== i) {
      throw new OptionError("wrong-option-value", `--vary: ${JSON.stringify(path)} is given twice`);
    }
    const edited = editDesign(source.text, [{ path, value: values[0]! }]);
    if (!edited.ok) {
      const code = edited.nearest === null ? "wrong-option-value" : "unknown-name";
      throw new OptionError(code, `--vary: ${edited.problem}`, edited.nearest);
    }
  }
  const count = combinationCount(axes);
  if (count > MOST_COMBINATIONS) {
    const most = figure(MOST_COMBINATIONS);
    throw new OptionError(
      "wrong-option-value",
      `--vary: expected at most ${most} combinations, found ${count}`,
    );
  }
}

/** Every combination of some axes, made as it is asked for: the text is edited once for each run of a later axis. */
export function* combinations(source: Source, axes: readonly Axis[]): Generator<Combination> {
  let index = 0;
  function* from(
    depth: number,
    text: string,
    problem: string | null,
    values: Values,
  ): Generator<Combination> {
    const axis = axes[depth];
    if (axis === undefined) {
      yield {
        index: index++,
        values,
        read: problem === null ? readText(source, text) : { ok: false, problem },
      };
      return;
    }
    for (const value of axis.values) {
      const edited = problem === null ? editDesign(text, [{ path: axis.path, value }]) : null;
      const failed = edited === null || edited.ok ? problem : edited.problem;
      const next = edited?.ok ? edited.text : text;
      yield* from(depth + 1, next, failed, { ...values, [axis.path]: value });
    }
  }
  yield* from(0, source.text, null, {});
}

function readText({ file }: Source, text: string): Combination["read"] {
  const read = readDesign({ file, text });
  if (read.ok) return read;
  return { ok: false, problem: firstProblem(read.diagnostics, text) };
}

/** The first error with its line, which is a line of the changed text. */
export function firstProblem(
  diagnostics: readonly { severity: string; message: string; range: { start: number } | null }[],
  text: string,
): string {
  const first = diagnostics.find(({ severity }) => severity === "error")!;
  if (first.range === null) return first.message;
  return `line ${positionOf(text, first.range.start).line}: ${first.message}`;
}
