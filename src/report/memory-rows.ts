import { type Layout, type PlanMemory, portsName, type Realisation } from "../model/index.js";
import type { Column } from "./grid.js";
import { figure, percent, plain, shortBits, shortCount } from "./text.js";

/** The columns of the memory table in `width` characters; width beyond 100 goes to the names and the tiles. */
export function memoryColumns(width: number): Column[] {
  const more = width - 100;
  const forNames = Math.floor(more / 2);
  return [
    { head: "memory\n words x bits", width: 16 + forNames },
    { head: "laid out as", width: 21 + more - forNames, wrap: true },
    { head: "blocks", width: 8, align: "right" },
    { head: "bits\nof held", width: 8, align: "right" },
    { head: "waste:\ncopies", width: 6, align: "right" },
    { head: "\nwidth", width: 5, align: "right" },
    { head: "\ndepth", width: 5, align: "right" },
    { head: "\nlost", width: 4, align: "right" },
    { head: "cas-\ncade", width: 4, align: "right" },
    { head: "\nLUTs", width: 5, align: "right" },
  ];
}

/**
 * The cells of one memory, in the order of {@link memoryColumns}. Sums are over all instances and copies. `shares`:
 * some of its blocks hold another tenant too.
 */
export function memoryRow(memory: PlanMemory, shares: boolean, nameWidth: number): string[] {
  const held = memory.requestedBits + memory.wastedBits;
  const share = (bits: number) => (held === 0 ? "-" : bits === 0 ? "." : percent(bits, held));
  const shape = `${memory.depth}x${memory.width} ${portsName(memory.ports)}`;
  const times = memory.instances > 1 ? `x${figure(memory.instances)}` : "";
  const geometry = shape.length + times.length + 2 <= nameWidth ? [`${shape} ${times}`] : [shape, times];
  return [
    [
      ...nameLines(plain(memory.name), nameWidth),
      ...geometry.filter(Boolean).map((line) => ` ${line.trim()}`),
    ].join("\n"),
    tileLines(memory, shares).join("\n"),
    Object.entries(memory.blocks)
      .filter(([, count]) => count > 0)
      .flatMap(([pool, count]) => [shortCount(count), plain(pool)])
      .join("\n") || "-",
    held === 0 ? "-" : `${shortBits(memory.requestedBits)}\nof ${shortBits(held)}`,
    share(memory.waste.replication),
    share(memory.waste.widthPadding),
    share(memory.waste.depthPadding),
    share(memory.waste.unreachable),
    memory.cascade > 1 ? shortCount(memory.cascade) : ".",
    memory.luts > 0 ? shortCount(memory.luts) : ".",
  ];
}

/** A name in lines of at most `width`, broken after `.`, `_`, `-` or `/` where it can be; at most three lines. */
function nameLines(name: string, width: number): string[] {
  const lines: string[] = [];
  for (const piece of name.match(/[^._\-/]*[._\-/]|[^._\-/]+$/g) ?? [name]) {
    const last = lines.at(-1);
    if (last !== undefined && (last.length + piece.length <= width || lines.length === 3)) {
      lines[lines.length - 1] = last + piece;
    } else {
      lines.push(piece);
    }
  }
  return lines;
}

const COPIES: Partial<Record<Realisation, string>> = {
  "live-value-table": "live-value table",
  "exclusive-or": "exclusive-or scheme",
};

/** Geometry and ports of a memory in one line: `1024x18 1r1w, lanes of 8, x4`. */
export function geometryLine({ depth, width, ports, lane, instances }: PlanMemory): string {
  const lanes = lane === null ? "" : `, lanes of ${lane}`;
  const times = instances > 1 ? `, x${figure(instances)}` : "";
  return `${depth}x${width} ${portsName(ports)}${lanes}${times}`;
}

/** What each instance is made of; with several ways to lay it out, each under the number of its instances. */
export function tileLines(memory: PlanMemory, shares: boolean): string[] {
  const ways = new Map<string, number>();
  for (const layout of memory.layouts) {
    const lines = layoutLines(layout).join("\n");
    ways.set(lines, (ways.get(lines) ?? 0) + layout.instances[1] - layout.instances[0] + 1);
  }
  const lines = [...ways].flatMap(([way, count]) =>
    ways.size > 1 ? [`${figure(count)} of ${figure(memory.instances)}:`, way] : [way],
  );
  return shares ? [...lines, "shares a block"] : lines;
}

/** What one instance is made of. */
export function layoutLines(layout: Layout): string[] {
  const copies = layout.copies > 1 ? [`${layout.copies} copies`] : [];
  if (layout.home === "registers") return ["registers"];
  if (layout.home === "LUT") return ["LUT memory", ...copies];
  const scheme = COPIES[layout.realisation];
  return [
    ...layout.tiles.map(
      (tile) => `${figure(tile.count)} x ${tile.shape}${tile.deep > 1 ? `, ${figure(tile.deep)} deep` : ""}`,
    ),
    ...(layout.pump > 1 ? [`at ${layout.pump} x clock`] : []),
    ...(scheme === undefined ? [] : [scheme]),
    ...copies,
  ];
}
