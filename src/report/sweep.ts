import type { Metric, Sweep, SweepProblem, SweepRow } from "../advise/index.js";
import { sizeName } from "../model/units.js";
import { type Column, fitted, GAP, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { paint } from "./paint.js";
import { cachesShown, poolsOf } from "./sweep-columns.js";
import { ESTIMATE_NOTE } from "./table.js";
import { counted, figure, listed, percent, plain, shortBits } from "./text.js";

/** Problems that the table lists; the others are counted. */
const MOST_PROBLEMS = 20;

/** Rows that the table shows at most. */
const MOST_ROWS = 2000;

/** A column of the table and its cells. */
interface Shown extends Column {
  readonly cell: (row: SweepRow) => string;
}

/** A sweep as JSON: see the type Sweep. */
export function sweepJson(sweep: Sweep): string {
  return jsonText(sweep);
}

/**
 * A sweep as text: a row for each combination and device, what was left out or could not be packed, and what the
 * figures rest on. Ends with a line end.
 */
export function sweepTable(sweep: Sweep, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong } = paint(color);
  const { columns, cells, leftOut } = narrowed(
    columnsOf(sweep, color),
    sweep.rows.slice(0, MOST_ROWS),
    width,
  );
  const on = listed(sweep.devices.map(({ name }) => plain(name)));
  const what = counted(sweep.total / sweep.devices.length, "combination");
  const parts = [strong(prose(`${plain(sweep.design)} on ${on}: ${what}`, width))];
  if (cells.length > 0) parts.push(grid(columns, cells, color));
  const sentences = [...outcome(sweep), ...legend(sweep)];
  if (sweep.rows.length > MOST_ROWS) {
    sentences.push(`The table has the first ${figure(MOST_ROWS)} rows; --csv and --json have all.`);
  }
  if (leftOut.length > 0) {
    sentences.push(`For want of width the table leaves out ${listed(leftOut)}; --csv and --json have all.`);
  }
  if (sentences.length > 0) parts.push(sentences.map((sentence) => prose(sentence, width)).join("\n"));
  if (sweep.problems.length > 0) parts.push(problemList(sweep.problems, width, strong));
  parts.push(prose(ESTIMATE_NOTE, width));
  return `${parts.join("\n\n")}\n`;
}

/** Columns that a narrow table does without, the first first. */
const SPARE: readonly (readonly [head: string, name: string])[] = [
  ["regi-\nsters", "registers"],
  ["cas-\ncade", "cascade"],
  ["bits\nheld", "bits held"],
  ["LUTs", "LUTs"],
];

/** The columns that fit the width, with their cells, and the names of those that were left out for it. */
function narrowed(shown: readonly Shown[], rows: readonly SweepRow[], width: number) {
  for (let count = 0; ; count++) {
    const spared = SPARE.slice(0, count);
    const left = shown.filter((column) => !spared.some(([head]) => head === column.head));
    const cells = rows.map((row) => left.map(({ cell }) => cell(row)));
    const columns = fitted(left, cells, width);
    const wide = columns.reduce((sum, column) => sum + column.width + GAP, -GAP);
    if (wide <= width || count === SPARE.length) {
      return { columns, cells, leftOut: spared.map(([, name]) => name) };
    }
  }
}

function columnsOf(sweep: Sweep, color: boolean): Shown[] {
  const { good, bad } = paint(color);
  const right = { width: 12, align: "right" as const };
  const marked = sweep.pareto !== null || sweep.rows.some(({ warnings }) => warnings.length > 0);
  const marks = marked ? [{ head: "", width: 2, cell: mark }] : [];
  const devices =
    sweep.devices.length === 1
      ? []
      : [
          {
            head: "device",
            width: 16,
            cell: (row: SweepRow) => plain(row.device) + (row.smallestDevice ? " <" : ""),
          },
        ];
  return [
    ...marks,
    ...sweep.axes.map(({ path }) => ({
      head: path.split(".").map(plain).join("\n"),
      width: 14,
      align: "right" as const,
      cell: ({ values }: SweepRow) => plain(String(values[path])),
    })),
    ...devices,
    blocksColumn(poolsOf(sweep)),
    {
      head: "bits\nused",
      ...right,
      cell: ({ usage }) => (usage.blockBits === 0 ? "-" : percent(usage.requestedBits, usage.blockBits)),
    },
    { head: "LUTs", ...right, cell: ({ usage }) => figure(usage.luts) },
    { head: "regi-\nsters", ...right, cell: ({ usage }) => figure(usage.registers) },
    { head: "cas-\ncade", ...right, cell: ({ usage }) => (usage.cascade < 2 ? "." : String(usage.cascade)) },
    { head: "bits\nheld", ...right, cell: ({ capacity }) => shortBits(capacity) },
    {
      head: "plan",
      width: 11,
      cell: ({ status, fits }) => (fits ? good(status) : bad(status)),
    },
    ...cachesShown(sweep).flatMap((name) => cacheColumns(sweep, name)),
  ];
}

const mark = ({ pareto, warnings }: SweepRow) => (pareto ? "*" : "") + (warnings.length > 0 ? "!" : "");

/** Blocks as a number, or with the names of pools where there are several. */
function blocksColumn(pools: readonly string[]): Shown {
  const [only] = pools;
  if (only !== undefined && pools.length === 1) {
    const cell = ({ usage }: SweepRow) => figure(usage.blocks[only]!, 1);
    return { head: `blocks\n${plain(only)}`, width: 12, align: "right", cell };
  }
  const cell = ({ usage }: SweepRow) =>
    Object.entries(usage.blocks)
      .filter(([, used], _, all) => used > 0 || all.length === 1)
      .map(([pool, used]) => `${figure(used, 1)} ${plain(pool)}`)
      .join("\n");
  return { head: "blocks", width: 14, align: "right", cell };
}

function cacheColumns(sweep: Sweep, name: string): Shown[] {
  const right = { width: 10, align: "right" as const };
  if (sweep.trace !== null) {
    const cell = ({ caches }: SweepRow) => {
      const rate = caches[name]?.hitRate ?? null;
      return rate === null ? "-" : `${figure(100 * rate, 2)}%`;
    };
    return [{ head: `${plain(name)}\nhits`, ...right, cell }];
  }
  const misses = ({ caches }: SweepRow) => {
    const factor = caches[name]?.rules?.missesBySquareRoot;
    return factor === undefined ? "-" : `x${figure(factor, 2)}`;
  };
  const direct = ({ caches }: SweepRow) => {
    const bytes = caches[name]?.rules?.directMappedBytes ?? null;
    return bytes === null ? "-" : sizeName(bytes * 8);
  };
  return [
    { head: `${plain(name)}\nroot\nrule`, ...right, cell: misses },
    { head: `${plain(name)}\n2:1\nrule`, ...right, cell: direct },
  ];
}

/** What became of the combinations. */
function outcome(sweep: Sweep): string[] {
  const { total, rows, leftOut, problems, devices, interrupted } = sweep;
  const sentences: string[] = [];
  if (interrupted) {
    const done = rows.length + leftOut + problems.length;
    sentences.push(`Interrupted: ${figure(done)} of ${figure(total)} are done.`);
  }
  const fitting = rows.filter(({ fits }) => fits).length;
  sentences.push(
    rows.length === 0
      ? `No row is left${leftOut > 0 ? `: all ${figure(leftOut)} left out by --where` : ""}.`
      : `${figure(fitting)} of ${counted(rows.length, "row")} ${fitting === 1 ? "fits" : "fit"}.${
          leftOut > 0 ? ` ${figure(leftOut)} more left out by --where.` : ""
        }`,
  );
  if (devices.length > 1) sentences.push(smallestSentence(sweep));
  return sentences;
}

/** Which part is the first that fits, by the bits of its blocks. */
function smallestSentence({ devices, rows }: Sweep): string {
  const firsts = devices
    .toSorted((a, b) => a.blockBits - b.blockBits)
    .map(({ name, blockBits }) => {
      const count = rows.filter(({ device, smallestDevice }) => device === name && smallestDevice).length;
      return { text: `${plain(name)} (${counted(blockBits, "bit")}) for ${figure(count)}`, count };
    })
    .filter(({ count }) => count > 0);
  if (firsts.length === 0) return "No part fits.";
  return `Marked <: the part of fewest block bits that the combination fits: ${listed(firsts.map(({ text }) => text))}.`;
}

/** What the marks and the figures of caches mean. */
function legend({ pareto, trace, rows, varyingCaches }: Sweep): string[] {
  const sentences: string[] = [];
  if (pareto !== null) {
    const axes = pareto.map(
      ({ name, goal }: Metric) => `${goal === "min" ? "least" : "most"} ${plain(name)}`,
    );
    sentences.push(
      `Marked *: fits, and no row that fits is better in one of ${listed(axes)} and as good in the others.`,
    );
  }
  const warned = rows.filter(({ warnings }) => warnings.length > 0);
  if (warned.length > 0) {
    const distinct = new Set(warned.flatMap(({ warnings }) => warnings));
    const [first = ""] = distinct;
    const others = distinct.size > 1 ? `; and ${figure(distinct.size - 1)} more (--json has all)` : "";
    sentences.push(`Marked !: has a warning of its own. ${plain(first)}${others}.`);
  }
  if (trace !== null) {
    const { fetch, read, write } = trace.accesses;
    const behind = Object.entries(trace.behind).map(
      ([name, before]) => ` ${plain(name)} sees what ${listed(before.map(plain))} pass on.`,
    );
    const alone =
      behind.length > 0
        ? "every other sees the whole trace of its kinds as if it were alone."
        : "sees the whole trace of its kinds as if it were alone, a second-level cache too (see --behind).";
    sentences.push(
      `Hits: ${plain(trace.file)}, ${counted(fetch, "fetch", "fetches")}, ${counted(read, "read")}, ` +
        `${counted(write, "write")}. Each cache starts empty${behind.length > 0 ? ";" : " and"} ${alone}${behind.join("")}`,
    );
  } else if (varyingCaches.length > 0 && rows.length > 0) {
    sentences.push(
      "Rules of thumb, no measurement (--trace measures). Root rule: misses against the design as written go with the " +
        "square root of size. 2:1 rule: the size of the direct-mapped cache that misses as often, for one or two ways " +
        "and below 128 KiB.",
    );
  }
  return sentences;
}

function problemList(
  problems: readonly SweepProblem[],
  width: number,
  strong: (text: string) => string,
): string {
  const lines = problems.slice(0, MOST_PROBLEMS).map(({ values, device, problem }) => {
    const given = Object.entries(values).map(([path, value]) => `${path} = ${value}`);
    const where = [...given, ...(device === null ? [] : [`on ${device}`])].join(", ");
    return prose(`- ${plain(where)}: ${plain(problem)}`, width, 2);
  });
  const more = problems.length - lines.length;
  if (more > 0) lines.push(`- and ${figure(more)} more (--json has all)`);
  const title = `${counted(problems.length, "combination")} cannot be packed`;
  return [strong(title), ...lines].join("\n");
}
