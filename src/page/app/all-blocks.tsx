import { useCallback, useEffect, useMemo, useRef, useState } from "preact/hooks";
import { type BlockPicture, blockCount, type Patch } from "../../report/block-picture.js";
import { counted, figure } from "../../report/text.js";
import { blockSize } from "./block-glyph.js";

/** What the two drawings of the blocks are given. */
export interface DrawingProps {
  readonly pictures: readonly BlockPicture[];
  readonly area: number;
  readonly hueOf: ReadonlyMap<string, number>;
  readonly selected: string | null;
  readonly select: (memory: string | null) => void;
  readonly show: (picture: BlockPicture | null) => void;
}

/** A run of blocks that look alike, as one strip of cells from left to right, line after line. */
interface Strip {
  readonly picture: BlockPicture;
  readonly top: number;
  readonly perLine: number;
  readonly width: number;
  readonly height: number;
}

const GAP = 3;
/** Height of the line above a strip that says what it is. */
const LABEL = 16;
/** Magnifications that the buttons step through. */
const ZOOMS = [0.25, 0.35, 0.5, 0.7, 1, 1.4, 2, 2.8, 4] as const;
/** Below this many pixels patterns of a block are not told apart: it is drawn in flat colours. */
const FLAT = 14;

function strips(
  pictures: readonly BlockPicture[],
  area: number,
  zoom: number,
  width: number,
): { list: Strip[]; height: number } {
  const list: Strip[] = [];
  let top = GAP;
  for (const picture of pictures) {
    const size = blockSize(picture, area * zoom * zoom);
    const perLine = Math.max(1, Math.floor((width - GAP) / (size.width + GAP)));
    top += LABEL;
    list.push({ picture, top, perLine, ...size });
    top += Math.ceil(picture.count / perLine) * (size.height + GAP) + GAP;
  }
  return { list, height: top };
}

function labelOf({ block, count }: BlockPicture): string {
  const names = [...new Set(block.tenants.map(({ memory }) => memory))];
  return `${names.join(" + ")}  ×${figure(count)}  ${block.tenants[0]!.shape}`;
}

/** Colours of the page, read from its style sheet. */
function coloursOf(element: Element) {
  const style = getComputedStyle(element);
  const read = (name: string) => style.getPropertyValue(name).trim();
  return {
    hues: Array.from({ length: 8 }, (_, i) => read(`--hue${i}`)),
    ground: read("--surface"),
    edge: read("--edge"),
    strong: read("--text"),
    soft: read("--soft"),
    ink: {
      widthPadding: read("--width-ink"),
      depthPadding: read("--depth-ink"),
      unreachable: read("--lost-ink"),
    },
    fill: {
      widthPadding: read("--width-ground"),
      depthPadding: read("--depth-ground"),
      unreachable: read("--lost-ground"),
    },
  };
}

type Colours = ReturnType<typeof coloursOf>;

/** The patterns of the legend, for a canvas. */
function patternsOf(context: CanvasRenderingContext2D, { ink, fill, ground }: Colours) {
  const tile = (size: number, paint: (context: CanvasRenderingContext2D) => void) => {
    const canvas = document.createElement("canvas");
    canvas.width = size;
    canvas.height = size;
    paint(canvas.getContext("2d")!);
    return context.createPattern(canvas, "repeat")!;
  };
  const lines = (kind: "widthPadding" | "depthPadding") =>
    tile(4, (c) => {
      c.fillStyle = fill[kind];
      c.fillRect(0, 0, 4, 4);
      c.fillStyle = ink[kind];
      if (kind === "widthPadding") c.fillRect(0, 0, 1.4, 4);
      else c.fillRect(0, 0, 4, 1);
    });
  return {
    widthPadding: lines("widthPadding"),
    depthPadding: lines("depthPadding"),
    unreachable: tile(5, (c) => {
      c.fillStyle = fill.unreachable;
      c.fillRect(0, 0, 5, 5);
      c.fillStyle = ink.unreachable;
      c.beginPath();
      c.arc(2.5, 2.5, 1.3, 0, 7);
      c.fill();
    }),
    replication: tile(6, (c) => {
      c.strokeStyle = ground;
      c.lineWidth = 1.6;
      c.beginPath();
      for (const at of [-6, 0, 6]) {
        c.moveTo(at - 1, 7);
        c.lineTo(at + 7, -1);
      }
      c.stroke();
    }),
  };
}

/** Every block by itself, drawn on a canvas as far as it is in view; scrolls as any part of a page does. */
export function AllBlocks({ pictures, area, hueOf, selected, select, show }: DrawingProps) {
  const [step, setStep] = useState(ZOOMS.indexOf(1));
  const [width, setWidth] = useState(600);
  const scroller = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const zoom = ZOOMS[step]!;
  const { list, height } = useMemo(() => strips(pictures, area, zoom, width), [pictures, area, zoom, width]);
  const total = blockCount(pictures);

  const draw = useCallback(() => {
    const [element, around] = [canvas.current, scroller.current];
    const context = element?.getContext("2d");
    if (!element || !around || !context) return;
    const [wide, high] = [around.clientWidth, around.clientHeight];
    const scale = devicePixelRatio;
    if (element.width !== wide * scale || element.height !== high * scale) {
      element.width = wide * scale;
      element.height = high * scale;
    }
    const colours = coloursOf(around);
    const patterns = patternsOf(context, colours);
    context.setTransform(scale, 0, 0, scale, 0, 0);
    context.fillStyle = colours.ground;
    context.fillRect(0, 0, wide, high);
    context.font = "11px system-ui, sans-serif";
    const from = around.scrollTop;
    for (const strip of list) {
      const { picture, top, perLine } = strip;
      const line = strip.height + GAP;
      const bottom = top + Math.ceil(picture.count / perLine) * line;
      if (bottom < from || top - LABEL > from + high) continue;
      context.globalAlpha = 1;
      context.fillStyle = colours.soft;
      context.fillText(labelOf(picture), GAP, top - from - 4);
      const flat = Math.min(strip.width, strip.height) < FLAT;
      const lit = selected !== null && picture.block.tenants.some(({ memory }) => memory === selected);
      const first = Math.max(0, Math.floor((from - top) / line) * perLine);
      const last = Math.min(picture.count, Math.ceil((from + high - top) / line) * perLine);
      for (let i = first; i < last; i += 1) {
        const x = GAP + (i % perLine) * (strip.width + GAP);
        const y = top + Math.floor(i / perLine) * line - from;
        for (const patch of picture.patches) paint(patch, strip, x, y, flat, lit);
        context.globalAlpha = 1;
        context.lineWidth = lit ? 2 : 1;
        context.strokeStyle = lit ? colours.strong : colours.edge;
        context.strokeRect(x + 0.5, y + 0.5, strip.width - 1, strip.height - 1);
      }
    }
    function paint(patch: Patch, strip: Strip, x: number, y: number, flat: boolean, lit: boolean) {
      const box = [
        x + patch.x * strip.width,
        y + patch.y * strip.height,
        patch.width * strip.width,
        patch.height * strip.height,
      ] as const;
      context!.globalAlpha = selected === null || lit ? 1 : 0.25;
      const { filling, tenant } = patch;
      if (filling === "held" || filling === "replication") {
        const memory = strip.picture.block.tenants[tenant!]!.memory;
        context!.fillStyle = colours.hues[hueOf.get(memory) ?? 0]!;
        context!.fillRect(...box);
        if (filling === "held" || flat) return;
        context!.fillStyle = patterns.replication;
      } else context!.fillStyle = flat ? colours.fill[filling] : patterns[filling];
      context!.fillRect(...box);
    }
  }, [list, selected, hueOf]);

  useEffect(() => {
    draw();
    const around = scroller.current!;
    const observer = new ResizeObserver(() => setWidth(around.clientWidth));
    observer.observe(around);
    let asked = false;
    const later = () => {
      if (asked) return;
      asked = true;
      requestAnimationFrame(() => {
        asked = false;
        draw();
      });
    };
    around.addEventListener("scroll", later, { passive: true });
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", later);
    const theme = new MutationObserver(later);
    theme.observe(document.documentElement, { attributes: true });
    return () => {
      observer.disconnect();
      theme.disconnect();
      around.removeEventListener("scroll", later);
      dark.removeEventListener("change", later);
    };
  }, [draw]);

  /** The block under the pointer, and the memory in it. */
  const under = (event: MouseEvent) => {
    const around = scroller.current!;
    const box = around.getBoundingClientRect();
    const [x, y] = [event.clientX - box.left, event.clientY - box.top + around.scrollTop];
    for (const strip of list) {
      const line = Math.floor((y - strip.top) / (strip.height + GAP));
      const column = Math.floor((x - GAP) / (strip.width + GAP));
      const index = line * strip.perLine + column;
      if (line < 0 || column < 0 || column >= strip.perLine || index >= strip.picture.count) continue;
      const inX = (x - GAP - column * (strip.width + GAP)) / strip.width;
      const inY = (y - strip.top - line * (strip.height + GAP)) / strip.height;
      const patch = strip.picture.patches.find(
        (each) => inX >= each.x && inX < each.x + each.width && inY >= each.y && inY < each.y + each.height,
      );
      const tenant = strip.picture.block.tenants[patch?.tenant ?? 0]!;
      return { picture: strip.picture, memory: tenant.memory };
    }
    return null;
  };
  const zoomBy = (by: number) => setStep((now) => Math.max(0, Math.min(ZOOMS.length - 1, now + by)));

  return (
    <div class="every">
      <div class="zoom">
        <button type="button" aria-label="Smaller" disabled={step === 0} onClick={() => zoomBy(-1)}>
          −
        </button>
        <span aria-live="polite">{figure(zoom * 100)} %</span>
        <button
          type="button"
          aria-label="Larger"
          disabled={step === ZOOMS.length - 1}
          onClick={() => zoomBy(1)}
        >
          +
        </button>
        <span class="faint">{counted(total, "block")}. Keys + and − zoom too.</span>
      </div>
      {/* biome-ignore lint/a11y/useSemanticElements: a section would be drawn as one */}
      <div
        class="viewport"
        ref={scroller}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by keyboard
        tabIndex={0}
        role="region"
        aria-label="Every block, drawn"
        onKeyDown={(event) => {
          if (event.key === "+" || event.key === "=") zoomBy(1);
          if (event.key === "-") zoomBy(-1);
        }}
        onWheel={(event) => {
          if (!event.ctrlKey) return;
          event.preventDefault();
          zoomBy(event.deltaY > 0 ? -1 : 1);
        }}
        onPointerMove={(event) => {
          const found = under(event);
          if (found !== null) show(found.picture);
        }}
        onClick={(event) => {
          const found = under(event);
          if (found !== null) select(found.memory === selected ? null : found.memory);
        }}
      >
        <canvas ref={canvas} role="img" aria-label={`${counted(total, "block")} side by side`} />
        <div class="extent" style={{ height: `${height}px` }} />
      </div>
    </div>
  );
}
