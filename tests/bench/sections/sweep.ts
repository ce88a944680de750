/** A sweep of the dish controller and a long trace, with the built library in this process. Run `npm run build` first. */
import { mkdtempSync, rmSync } from "node:fs";
import { open } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type * as library from "../../../src/index.js";
import { type Misses, printTable, repositoryPath, short, writeData } from "../section.js";
import { timed } from "../statistics.js";

const GOAL_SECONDS = 60;
const ACCESSES = 10_000_000;
const JOBS = 2;

/** 1,000 combinations, of which more than half are over the budget of the part. */
const AXES = [
  "l1d.ways=1..8*2",
  "l1d.size=4 KiB..64 KiB*2",
  "l2.ways=1..16*2",
  "l2.line=32 B,64 B",
  "targets.entries=64..1024*2",
];

/** An invented trace: straight runs of fetches with jumps, reads and writes near a stack and over a table. */
async function writeTrace(path: string): Promise<void> {
  const file = await open(path, "w");
  let state = 12_345;
  let fetch = 0x8000_0000;
  for (let written = 0; written < ACCESSES; ) {
    const lines: string[] = [];
    for (let i = 0; i < 100_000; i++, written++) {
      // Numerical Recipes' linear congruential generator (from memory).
      state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
      const kind = state >>> 30;
      if (kind < 2) {
        fetch = (state & 0xff00) === 0 ? 0x8000_0000 + ((state >>> 12) & 0x3ffff) * 4 : fetch + 4;
        lines.push(`fetch,0x${fetch.toString(16)}`);
      } else {
        const near = 0x8fff_0000 - ((state >>> 16) & 0xff) * 8;
        const address = (state & 0x7000) !== 0 ? near : 0x9000_0000 + ((state >>> 8) & 0xf_ffff);
        lines.push(`${kind === 2 ? "read" : "write"},${address}`);
      }
    }
    await file.write(`${lines.join("\n")}\n`);
  }
  await file.close();
}

/** Issue 4: 1,000 combinations within 60 s on two cores; a trace of 10 million accesses within 60 s. */
export async function sweep(): Promise<Misses> {
  const built = (await import(new URL("../../../dist/index.js", import.meta.url).href)) as typeof library;
  const { source, design } = built.loadDesign(repositoryPath("designs/dish-controller.yaml"));
  const devices = [built.findDevice(design.device!)];
  const axes = AXES.map(built.readAxis);
  const packed = await timed(() => built.sweep({ source, axes, devices, jobs: JOBS }));

  const folder = mkdtempSync(join(tmpdir(), "ramtailor-bench-"));
  const path = join(folder, "trace.csv");
  await writeTrace(path);
  const geometries = [64, 128, 256, 512].flatMap((sets) =>
    [1, 2, 4, 8].map((ways) => ({
      geometry: {
        sets,
        ways,
        lineBytes: 64,
        replacement: "tree-plru" as const,
        writeAllocate: true,
        sees: ["read", "write"] as const,
      },
    })),
  );
  const traced = await timed(() => built.simulateTrace(path, path, geometries));
  rmSync(folder, { recursive: true });

  const { total, rows, partsPacked } = packed.result;
  printTable(
    "A sweep of the dish controller, two threads, and a trace",
    ["what", "count", "s"],
    [
      ["combinations", total, short(packed.ms / 1000)],
      ["of them over the budget", rows.filter(({ fits }) => !fits).length, ""],
      ["distinct parts packed", partsPacked, ""],
      [`accesses through ${geometries.length} caches`, ACCESSES, short(traced.ms / 1000)],
    ],
  );
  const data = { goalSeconds: GOAL_SECONDS, total, partsPacked, packedMs: packed.ms, tracedMs: traced.ms };
  writeData("sweep", data);
  const late = (name: string, ms: number) =>
    ms > GOAL_SECONDS * 1000 ? [`sweep: ${name} took ${short(ms / 1000)} s, not ${GOAL_SECONDS}`] : [];
  return [...late("1,000 combinations", packed.ms), ...late("the trace", traced.ms)];
}
