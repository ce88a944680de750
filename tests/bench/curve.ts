/** One measured line of the growth curve. */
export interface Line {
  readonly name: string;
  /** Colour as SVG takes it. */
  readonly colour: string;
  /** x: distinct memories; y: seconds. Both above 0. */
  readonly points: readonly (readonly [number, number])[];
}

const WIDTH = 640;
const HEIGHT = 420;
const LEFT = 70;
const RIGHT = 20;
const TOP = 50;
const BOTTOM = 60;

function decades(values: readonly number[]): number[] {
  const first = Math.floor(Math.log10(Math.min(...values)));
  const last = Math.max(first + 1, Math.ceil(Math.log10(Math.max(...values))));
  return Array.from({ length: last - first + 1 }, (_, index) => 10 ** (first + index));
}

/** Time against size as an SVG text, both axes by decades. */
export function curveSvg(title: string, lines: readonly Line[]): string {
  const points = lines.flatMap((line) => line.points);
  const xs = decades(points.map(([x]) => x));
  const ys = decades(points.map(([, y]) => y));
  const place = (value: number, ticks: readonly number[], from: number, to: number) => {
    const [low, high] = [Math.log10(ticks[0]!), Math.log10(ticks.at(-1)!)];
    return Number((from + ((Math.log10(value) - low) / (high - low)) * (to - from)).toFixed(1));
  };
  const x = (value: number) => place(value, xs, LEFT, WIDTH - RIGHT);
  const y = (value: number) => place(value, ys, HEIGHT - BOTTOM, TOP);
  const text = (at: readonly [number, number], anchor: string, words: string) =>
    `<text x="${at[0]}" y="${at[1]}" text-anchor="${anchor}">${words}</text>`;
  const grid = [
    ...xs.map(
      (value) =>
        `<path d="M${x(value)} ${TOP}V${HEIGHT - BOTTOM}" stroke="#ddd"/>` +
        text([x(value), HEIGHT - BOTTOM + 18], "middle", value.toLocaleString("en")),
    ),
    ...ys.map(
      (value) =>
        `<path d="M${LEFT} ${y(value)}H${WIDTH - RIGHT}" stroke="#ddd"/>` +
        text([LEFT - 8, y(value) + 4], "end", String(Number(value.toPrecision(1)))),
    ),
  ];
  const curves = lines.map(({ name, colour, points: own }, index) => {
    const path = own.map(([a, b], i) => `${i === 0 ? "M" : "L"}${x(a)} ${y(b)}`).join("");
    const dots = own.map(([a, b]) => `<circle cx="${x(a)}" cy="${y(b)}" r="3" fill="${colour}"/>`).join("");
    const key = TOP + 16 + 18 * index;
    return (
      `<path d="${path}" fill="none" stroke="${colour}" stroke-width="2"/>${dots}` +
      `<path d="M${LEFT + 12} ${key - 4}h20" stroke="${colour}" stroke-width="2"/>${text([LEFT + 38, key], "start", name)}`
    );
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}"`,
    ` font-family="sans-serif" font-size="12"><title>${title}</title><rect width="100%" height="100%" fill="#fff"/>`,
    text([WIDTH / 2, 24], "middle", title),
    ...grid,
    ...curves,
    text([(LEFT + WIDTH - RIGHT) / 2, HEIGHT - 14], "middle", "distinct memories"),
    `<text transform="translate(18 ${(TOP + HEIGHT - BOTTOM) / 2}) rotate(-90)" text-anchor="middle">seconds</text>`,
    "</svg>\n",
  ].join("\n");
}
