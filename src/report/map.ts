import type { Device, Plan } from "../model/index.js";
import { type BlockPicture, blockCount, blockPictures, type Filling } from "./block-picture.js";
import { prose, reportWidth, type TextOptions } from "./grid.js";
import { paint } from "./paint.js";
import { counted, figure, plain } from "./text.js";

/** Characters of what is empty; a copy for ports is drawn as the memory's letter in capitals. */
const EMPTY: Readonly<Record<Exclude<Filling, "held" | "replication">, string>> = {
  widthPadding: ":",
  depthPadding: "-",
  unreachable: "x",
};
/** Characters inside the frame of a block. */
const HIGH = 4;
/** Widest and narrowest block, in characters inside its frame. */
const WIDE = { least: 3, most: 14 };
const LETTERS = "abcdefghijklmnopqrstuvwyz";

/** A block as lines of equal length: its frame, and below it how many there are and which memories. */
function glyph(picture: BlockPicture, numberOf: ReadonlyMap<string, number>): string[] {
  const { block, shape, count, patches } = picture;
  // A character is about twice as high as wide.
  const inner = Math.round(
    Math.min(WIDE.most, Math.max(WIDE.least, 40 * Math.sqrt(shape.width / shape.depth))),
  );
  const at = (row: number, column: number) => {
    const [x, y] = [(column + 0.5) / inner, (row + 0.5) / HIGH];
    // Bits that are held are drawn over what is empty beside them.
    const found = patches.findLast(
      (patch) => x >= patch.x && x < patch.x + patch.width && y >= patch.y && y < patch.y + patch.height,
    );
    if (found === undefined) return " ";
    if (found.filling !== "held" && found.filling !== "replication") return EMPTY[found.filling];
    const letter = LETTERS[found.tenant! % LETTERS.length]!;
    return found.filling === "held" ? letter : letter.toUpperCase();
  };
  const frame = `+${"-".repeat(inner)}+`;
  const rows = Array.from({ length: HIGH }, (_, row) => {
    const cells = Array.from({ length: inner }, (_, column) => at(row, column));
    return `|${cells.join("")}|`;
  });
  const inside = block.tenants.map(({ memory }) => numberOf.get(memory)!);
  const many = inside.length > 3 ? `${inside.slice(0, 3).join("+")}+..` : inside.join("+");
  const lines = [frame, ...rows, frame, `x${figure(count)}`, many];
  const width = Math.max(...lines.map(({ length }) => length));
  return lines.map((line) => line.padEnd(width));
}

/** Pictures side by side, as many as the width takes, then below each other. */
function shelves(glyphs: readonly (readonly string[])[], width: number): string {
  const rows: string[][] = [];
  let used = 0;
  for (const lines of glyphs) {
    const wide = lines[0]!.length + 2;
    if (rows.length === 0 || used + wide - 2 > width) {
      rows.push(lines.map(() => ""));
      used = 0;
    }
    const row = rows.at(-1)!;
    for (const [i, line] of lines.entries()) row[i] += `${line}  `;
    used += wide;
  }
  return rows.map((lines) => lines.map((line) => line.trimEnd()).join("\n")).join("\n");
}

/**
 * The blocks of a plan as characters, those that look alike folded into one: words run down, bits across. Every block is
 * as high as any other, and wider where its words are. No line is wider than the width. Ends with a line end.
 */
export function blockMap(plan: Plan, device: Device, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const { strong } = paint(options.color ?? false);
  const numberOf = new Map(plan.memories.map(({ name }, i) => [name, i + 1]));
  const pictures = blockPictures(plan, device);
  const parts = device.pools.flatMap(({ name }) => {
    const here = pictures.filter(({ pool }) => pool === name);
    if (here.length === 0) return [];
    const halves = here.some(({ size }) => size < 1) ? " (half blocks among them)" : "";
    const differing = here.length === 1 ? "all alike" : `${figure(here.length)} that differ`;
    const title = strong(`${plain(name)}: ${counted(blockCount(here), "block")}${halves}, ${differing}`);
    return [
      `${title}\n${shelves(
        here.map((picture) => glyph(picture, numberOf)),
        width,
      )}`,
    ];
  });
  if (parts.length === 0) return "No block is in use.\n";
  const inBlocks = plan.memories.filter(({ layouts }) => layouts.some(({ tiles }) => tiles.length > 0));
  const names = inBlocks.map(({ name }) => `${numberOf.get(name)}=${plain(name)}`);
  const legend =
    "Words run down, bits across. Under a block: how many are alike, and their memories. Letters hold bits, a for the " +
    "first memory named; capitals are copies for ports; : word too wide, - words not used, x out of the shape's reach.";
  return `${[...parts, prose(names.join(", "), width), prose(legend, width)].join("\n\n")}\n`;
}
