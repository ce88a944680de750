import { useMemo, useRef, useState } from "preact/hooks";
import type { Sweep } from "../../advise/sweep/index.js";
import type { PageStart } from "../../report/page.js";
import { counted, figure, shortBits, shortCount } from "../../report/text.js";
import type { Explorer } from "./explorer.js";
import { isSweep, MEASURES, type Measure, type Point, pointsOf, rowName } from "./sweep-points.js";

const WIDTH = 640;
const HEIGHT = 320;
const MARGIN = { left: 56, right: 28, top: 14, bottom: 44 };

const TITLES: Readonly<Record<Measure, string>> = {
  capacity: "capacity, bits (more is better)",
  misses: "misses (fewer is better)",
  luts: "LUTs (fewer is better)",
};

/** Round numbers around values, four to seven of them; steps of bits are powers of two. */
function ticks(values: readonly number[], powers: boolean): number[] {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const base = powers ? 2 : 10;
  const rough = Math.max(1, (most - least) / 5);
  const power = base ** Math.floor(Math.log(rough) / Math.log(base));
  const step = [1, 2, 5, 10].map((times) => times * power).find((each) => each >= rough) ?? power * base;
  const list = [Math.max(0, Math.floor(least / step - 0.2)) * step];
  while (list.at(-1)! < most + step * 0.2) list.push(list.at(-1)! + step);
  return list;
}

/** The points of a sweep, blocks against a measure; a chosen point becomes the design. */
export function SweepPlot({ start, explorer }: { readonly start: PageStart; readonly explorer: Explorer }) {
  const [sweep, setSweep] = useState<Sweep | null>(isSweep(start.sweep) ? start.sweep : null);
  const [problem, setProblem] = useState<string | null>(null);
  const open = async (file: File | undefined) => {
    if (file === undefined) return;
    try {
      const value: unknown = JSON.parse(await file.text());
      if (!isSweep(value)) throw new Error("expected what `ramtailor sweep --json` writes");
      setSweep(value);
      setProblem(null);
    } catch (error) {
      setProblem(`${file.name}: ${(error as Error).message}`);
    }
  };
  return (
    <section class="sweep" aria-labelledby="sweep-title">
      <div class="head">
        <h2 id="sweep-title" tabIndex={-1}>
          Sweep
        </h2>
        <label class="file">
          <span>Open a sweep (JSON)</span>
          <input
            type="file"
            accept=".json,application/json"
            onChange={({ currentTarget }) => open(currentTarget.files?.[0])}
          />
        </label>
      </div>
      {problem !== null && <p role="alert">{problem}</p>}
      {sweep === null ? (
        <p class="faint">
          Run <code>ramtailor sweep DESIGN --vary … --json &gt; sweep.json</code> and open the file here:
          blocks against capacity or misses, and each point a geometry to try.
        </p>
      ) : (
        <Plot sweep={sweep} start={start} explorer={explorer} />
      )}
    </section>
  );
}

interface PlotProps {
  readonly sweep: Sweep;
  readonly start: PageStart;
  readonly explorer: Explorer;
}

function Plot({ sweep, start, explorer }: PlotProps) {
  const offered = MEASURES.filter((each) => pointsOf(sweep, each).length > 0);
  const [measure, setMeasure] = useState<Measure>(offered[0] ?? "capacity");
  const points = useMemo(() => pointsOf(sweep, measure), [sweep, measure]);
  const [at, setAt] = useState(0);
  const [chosen, setChosen] = useState<number | null>(null);
  const marks = useRef<(SVGGElement | null)[]>([]);
  const here = points[Math.min(at, points.length - 1)];
  const xs = ticks(
    points.map(({ x }) => x),
    measure === "capacity",
  );
  const ys = ticks(
    points.map(({ y }) => y),
    false,
  );
  const share = (list: readonly number[], value: number) => (value - list[0]!) / (list.at(-1)! - list[0]!);
  const x = (value: number) => MARGIN.left + share(xs, value) * (WIDTH - MARGIN.left - MARGIN.right);
  const y = (value: number) =>
    HEIGHT - MARGIN.bottom - share(ys, value) * (HEIGHT - MARGIN.top - MARGIN.bottom);
  const front = points.filter(({ best }) => best);
  const line = front.map((point, i) => {
    const corner =
      measure === "capacity"
        ? [x(front[i - 1]?.x ?? point.x), y(point.y)]
        : [x(point.x), y(front[i - 1]?.y ?? point.y)];
    return `${i === 0 ? "M" : `L${corner.join(" ")} L`}${x(point.x)} ${y(point.y)}`;
  });
  const load = (index: number) => {
    const point = points[index];
    if (point === undefined) return;
    setChosen(index);
    const { values, device } = point.row;
    const edits = Object.entries(values).map(([path, value]) => ({ path, value }));
    explorer.edit(edits);
    explorer.choose(device);
  };
  const move = (event: KeyboardEvent) => {
    const by =
      event.key === "ArrowRight" || event.key === "ArrowDown"
        ? 1
        : event.key === "ArrowLeft" || event.key === "ArrowUp"
          ? -1
          : 0;
    if (by !== 0) {
      const target = Math.max(0, Math.min(points.length - 1, at + by));
      event.preventDefault();
      setAt(target);
      marks.current[target]?.focus();
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      load(at);
    }
  };
  if (points.length === 0) return <p class="faint">The sweep has no row to show.</p>;
  return (
    <>
      <p>
        <label>
          Blocks against{" "}
          <select
            value={measure}
            onChange={({ currentTarget }) => setMeasure(currentTarget.value as Measure)}
          >
            {offered.map((each) => (
              <option key={each} value={each}>
                {each}
              </option>
            ))}
          </select>
        </label>{" "}
        <span class="faint">
          {counted(points.length, "point")}, {figure(front.length)} on the Pareto front. Arrow keys move,
          Enter tries a point.
        </span>
      </p>
      {sweep.design !== start.plan.design && (
        <p class="verdict bad">This sweep is of another design, {sweep.design}.</p>
      )}
      <div class="plot">
        {/* biome-ignore lint/a11y/useSemanticElements: points of a plot are no form fields */}
        <svg
          viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
          role="group"
          aria-label="Points of the sweep"
          onKeyDown={move}
        >
          {xs.map((value) => (
            <g key={`x${value}`} class="tick">
              <line x1={x(value)} x2={x(value)} y1={MARGIN.top} y2={HEIGHT - MARGIN.bottom} />
              <text x={x(value)} y={HEIGHT - MARGIN.bottom + 16} text-anchor="middle">
                {measure === "capacity" ? shortBits(value) : shortCount(value)}
              </text>
            </g>
          ))}
          {ys.map((value) => (
            <g key={`y${value}`} class="tick">
              <line x1={MARGIN.left} x2={WIDTH - MARGIN.right} y1={y(value)} y2={y(value)} />
              <text x={MARGIN.left - 8} y={y(value) + 4} text-anchor="end">
                {shortCount(value)}
              </text>
            </g>
          ))}
          <text class="axis" x={WIDTH / 2} y={HEIGHT - 8} text-anchor="middle">
            {TITLES[measure]}
          </text>
          <text class="axis" transform={`translate(14 ${HEIGHT / 2}) rotate(-90)`} text-anchor="middle">
            blocks
          </text>
          {front.length > 0 && <path class="front" d={line.join(" ")} />}
          {points.map((point, index) => (
            // biome-ignore lint/a11y/useSemanticElements: a point of a plot
            <g
              key={point.row.index}
              ref={(element) => {
                marks.current[index] = element;
              }}
              class={`point ${point.best ? "best" : ""} ${point.row.fits ? "" : "over"} ${chosen === index ? "chosen" : ""}`}
              role="button"
              tabIndex={index === at ? 0 : -1}
              aria-label={`${rowName(point.row)}: ${describe(point, measure)}`}
              transform={`translate(${x(point.x)} ${y(point.y)})`}
              onFocus={() => setAt(index)}
              onPointerEnter={() => setAt(index)}
              onClick={() => load(index)}
            >
              <circle class="reach" r="12" />
              <circle r={point.best ? 5.5 : 4} />
              {!point.row.fits && <path d="M-3 -3L3 3M3 -3L-3 3" />}
            </g>
          ))}
        </svg>
      </div>
      {here !== undefined && (
        <p class="details">
          <strong>{rowName(here.row)}</strong>: {describe(here, measure)}
        </p>
      )}
    </>
  );
}

function describe({ row, x, y, best }: Point, measure: Measure): string {
  const parts = [
    counted(y, "block"),
    `${measure === "capacity" ? `${shortBits(x)} bits` : figure(x)} ${measure === "capacity" ? "of capacity" : measure}`,
  ];
  return `${parts.join(", ")}${row.fits ? "" : ", does not fit"}${best ? ", on the Pareto front" : ""}`;
}
