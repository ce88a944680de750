import { execFile } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import type { RtlFile } from "../../src/rtl/index.js";

const run = promisify(execFile);

/** What one bench said: its verdict, and the reads that it checked. */
export interface Verdict {
  readonly passed: boolean;
  readonly line: string;
}

/** Runs `use` in a new folder that holds the files, and removes it. */
export async function inFolder<T>(
  files: readonly RtlFile[],
  use: (folder: string) => Promise<T>,
): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), "ramtailor-rtl-"));
  try {
    for (const { path, text } of files) writeFileSync(join(folder, path), text);
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const MOST_OUTPUT = { maxBuffer: 2 ** 26 };

/**
 * Runs every bench among the files in one run of Icarus Verilog, and gives the verdicts by module. Throws where it does
 * not compile or a bench says nothing.
 */
export function simulate(files: readonly RtlFile[], dialect = "2005"): Promise<ReadonlyMap<string, Verdict>> {
  return inFolder(files, async (folder) => {
    const sources = readdirSync(folder).filter((name) => /\.s?v$/.test(name));
    const benches = sources.filter((name) => name.endsWith("_bench.v")).map((name) => name.slice(0, -2));
    const tops = benches.flatMap((bench) => ["-s", bench]);
    const options = { cwd: folder, ...MOST_OUTPUT };
    const compiled = await run("iverilog", [`-g${dialect}`, "-o", "sim", ...tops, ...sources], options);
    if (compiled.stderr !== "") throw new Error(compiled.stderr.slice(0, 2000));
    const { stdout } = await run("vvp", ["-n", "sim"], options);
    return verdictsIn(stdout, benches);
  });
}

/** The verdicts in what a simulator printed, one for each bench. */
function verdictsIn(stdout: string, benches: readonly string[]): ReadonlyMap<string, Verdict> {
  const verdicts = new Map<string, Verdict>();
  for (const line of stdout.split("\n")) {
    const [, word, module] = /^(PASS|FAIL) (\w+):/.exec(line) ?? [];
    if (module !== undefined) verdicts.set(module, { passed: word === "PASS", line });
  }
  for (const bench of benches) {
    if (!verdicts.has(bench.slice(0, -"_bench".length)))
      throw new Error(`${bench} said nothing: ${stdout.slice(0, 2000)}`);
  }
  return verdicts;
}

/** The same for VHDL, in one run of GHDL. */
export function simulateVhdl(files: readonly RtlFile[]): Promise<ReadonlyMap<string, Verdict>> {
  const sources = files.filter(({ path }) => path.endsWith(".vhd"));
  // An entity is read before those that have instances of it: arrays, then modules, then benches.
  const rank = ({ path, text }: RtlFile) =>
    path.endsWith("_bench.vhd") ? 2 : text.includes("cells_type") ? 0 : 1;
  const order = [...sources].sort((a, b) => rank(a) - rank(b)).map(({ path }) => path);
  const benches = order.filter((path) => path.endsWith("_bench.vhd")).map((path) => path.slice(0, -4));
  const instances = benches.map((bench, index) => `  bench_${index} : entity work.${bench};`).join("\n");
  const top = `entity everything is\nend;\narchitecture all_benches of everything is\nbegin\n${instances}\nend;\n`;
  return inFolder([...files, { path: "everything.vhd", text: top }], async (folder) => {
    const options = { cwd: folder, ...MOST_OUTPUT };
    await run("ghdl", ["-a", "--std=08", ...order, "everything.vhd"], options);
    // Before the first inputs arrive, addresses are undefined.
    const { stdout } = await run(
      "ghdl",
      ["-r", "--std=08", "everything", "--ieee-asserts=disable-at-0"],
      options,
    );
    return verdictsIn(stdout, benches);
  });
}

/** Lines of the benches that found fault. */
export function failures(verdicts: ReadonlyMap<string, Verdict>): string[] {
  return [...verdicts.values()].filter(({ passed }) => !passed).map(({ line }) => line);
}

/** The arrays with two ports that write, each on a clock of its own. */
function twoWriters({ text }: RtlFile): boolean {
  return /\ba_write\b/.test(text) && /\bb_write\b/.test(text) && text.includes("cells [0:");
}

/**
 * What Verilator's linter says of all modules but the benches; empty: nothing. One warning is waived, for true dual
 * port blocks alone: that two clocks write one array (MULTIDRIVEN) is what such a block is.
 */
export function lint(files: readonly RtlFile[], language = "1364-2005"): Promise<string> {
  return inFolder(files, async (folder) => {
    const sources = files.filter(({ path }) => /\.s?v$/.test(path) && !path.endsWith("_bench.v"));
    const warn = async (extra: readonly string[], list: readonly RtlFile[]) => {
      if (list.length === 0) return "";
      const always = ["--lint-only", "-Wall", "-Wno-MULTITOP", "--language", language, "-y", ".", ...extra];
      const names = list.map(({ path }) => path);
      try {
        const { stdout, stderr } = await run("verilator", [...always, ...names], {
          cwd: folder,
          ...MOST_OUTPUT,
        });
        return stdout + stderr;
      } catch (error) {
        return (error as { stderr?: string }).stderr ?? String(error);
      }
    };
    const leaves = sources.filter(twoWriters);
    // Linted without the two-clock arrays under them, a module would lack them: all once with the waiver, and all
    // but those that it is for without.
    const without = sources.filter(
      (file) =>
        !twoWriters(file) && !leaves.some((leaf) => file.text.includes(leaf.path.replace(/\.s?v$/, ""))),
    );
    return (await warn(["-Wno-MULTIDRIVEN"], sources)) + (await warn([], without));
  });
}
