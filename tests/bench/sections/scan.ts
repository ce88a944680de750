/** Reading a generated source of 100,000 lines, in processes of their own. Run `npm run build` first. */
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { processorText } from "../processor-text.js";
import { type Misses, printTable, repositoryPath, short, writeData } from "../section.js";

const LINES = [12_500, 25_000, 50_000, 100_000];
const GOAL_MS = 20_000;

/** Issue item 6: 100,000 lines in less than 20 s, and time in proportion to the lines. */
export async function scan(): Promise<Misses> {
  const folder = mkdtempSync(join(tmpdir(), "bench-scan-"));
  try {
    const rows = LINES.map((asked) => {
      const { text, lines, memories } = processorText(asked, 1);
      const path = join(folder, `${asked}.v`);
      writeFileSync(path, text);
      const started = performance.now();
      const { status, stdout, stderr } = spawnSync(
        process.execPath,
        ["dist/cli/bin.js", "scan", path, "--registers-below", "0", "--json"],
        { cwd: repositoryPath("."), encoding: "utf8", maxBuffer: 2 ** 30 },
      );
      const ms = performance.now() - started;
      if (status !== 0) throw new Error(`scan ended with ${status}: ${stderr}`);
      const found = (JSON.parse(stdout) as { memories: unknown[] }).memories.length;
      if (found !== memories.size) throw new Error(`${found} memories found, not ${memories.size}`);
      return { lines, bytes: text.length, memories: found, ms };
    });
    printTable(
      "Reading one generated module",
      ["lines", "MiB", "memories", "ms", "ms per 1,000 lines"],
      rows.map(({ lines, bytes, memories, ms }) => [
        lines,
        short(bytes / 2 ** 20),
        memories,
        short(ms),
        short((ms / lines) * 1000),
      ]),
    );
    writeData("scan", { goal: `100,000 lines in ${GOAL_MS} ms`, rows });
    const last = rows.at(-1)!;
    return last.ms > GOAL_MS ? [`scan: ${last.lines} lines in ${short(last.ms)} ms, not ${GOAL_MS}`] : [];
  } finally {
    rmSync(folder, { recursive: true });
  }
}
