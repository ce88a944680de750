/**
 * Start-up of the built command against a bare start of Node, in pairs one after the other, so that other work on the machine
 * slows both alike. Run `npm run build` first.
 */
import { spawnSync } from "node:child_process";
import { type Misses, printTable, repositoryPath, short, writeData } from "../section.js";
import { median } from "../statistics.js";

/** Pairs that count; the first one warms the disk and does not. */
const PAIRS = 41;

function wallMs(args: readonly string[]): number {
  const started = performance.now();
  const { status, stderr } = spawnSync(process.execPath, args, {
    cwd: repositoryPath("."),
    encoding: "utf8",
  });
  const ms = performance.now() - started;
  if (status !== 0) throw new Error(`node ${args.join(" ")} ended with ${status}: ${stderr}`);
  return ms;
}

/** Each of the two goes first in every other pair. */
function pair(bareFirst: boolean): { readonly bare: number; readonly packed: number } {
  const bare = () => wallMs(["-e", "0"]);
  const packed = () => wallMs(["dist/cli/bin.js", "pack", "designs/weather-mast.yaml"]);
  if (bareFirst) return { bare: bare(), packed: packed() };
  const first = packed();
  return { bare: bare(), packed: first };
}

/** Issue item 5: packing the smallest design takes at most 3 times as long as starting Node. */
export async function start(): Promise<Misses> {
  const pairs = Array.from({ length: PAIRS + 1 }, (_, i) => pair(i % 2 === 0)).slice(1);
  const bare = median(pairs.map(({ bare }) => bare));
  const packed = median(pairs.map(({ packed }) => packed));
  const ratio = median(pairs.map(({ bare, packed }) => packed / bare));
  printTable(
    "Start-up, medians",
    ["command", "ms"],
    [
      ["node -e 0", short(bare)],
      ["ramtailor pack designs/weather-mast.yaml", short(packed)],
      ["ratio within a pair", short(ratio)],
    ],
  );
  writeData("start", { goal: "ratio <= 3", bare, packed, ratio, pairs });
  return ratio > 3 ? [`start: ${short(ratio)} times as long as starting Node, not 3`] : [];
}
