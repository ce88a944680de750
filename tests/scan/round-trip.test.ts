import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type Design,
  type Device,
  designText,
  findDevice,
  LANGUAGES,
  type Language,
  loadDesign,
  type Manifest,
  NothingLegalError,
  pack,
  type RtlFile,
  readDesign,
  type ScanMemory,
  type ScanResult,
  scan,
  wrap,
} from "../../src/index.js";
import { wrapCase } from "../rtl/wrap-cases.js";

const FOLDER = fileURLToPath(new URL("../../designs/", import.meta.url));
const VERILOG = LANGUAGES.filter((language) => language !== "vhdl");

/** A module with an instance of every wrapper for every instance that it serves, all on clocks of their own names. */
function system({ modules }: Manifest): string {
  const lines = modules.flatMap(({ module, instances }, i) =>
    instances.map(({ count }, k) => `  ${module} u${i}_${k} [${count - 1}:0] (.clk(clk));`),
  );
  return ["module whole_system (input clk);", ...lines, "endmodule", ""].join("\n");
}

async function scanned(files: readonly RtlFile[], manifest: Manifest): Promise<ScanResult> {
  const sources = files
    .filter(({ path }) => /\.s?v$/.test(path))
    .map(({ path, text }) => ({ file: path, text }));
  const top = { file: "system.v", text: system(manifest) };
  const outcome = await scan([...sources, top], { top: "whole_system", registersBelow: 0 });
  if (outcome.status !== "done") throw new Error(outcome.status);
  return outcome.result;
}

/** What the name of an array's module says of it, in the words of the wrappers' file names: shape and ports. */
function told(module: string): { readonly bits: number; readonly widths: number[]; readonly ports: string } {
  const array = /_(\d+)x(\d+)(?:_lane\d+)?_(\d+)r(\d+)w(?:_contents)?$/.exec(module);
  if (array !== null) {
    const [depth, width, reads, writes] = array.slice(1).map(Number) as [number, number, number, number];
    // One address for a read and a write shows in the array that has it, not in its name.
    return { bits: depth * width, widths: [width], ports: `${reads} ${writes}` };
  }
  const sides = [...module.matchAll(/_(\d+)x(\d+)_([arw]+)(?=_|$)/g)];
  const bits = Math.max(...sides.map(([, depth, width]) => Number(depth) * Number(width)));
  const of = (letter: string) =>
    sides.filter(([, , , does]) => (letter === "r" ? /[ar]/ : /w/).test(does!)).length;
  return { bits, widths: sides.map(([, , width]) => Number(width)), ports: `${of("r")} ${of("w")}` };
}

/** Reads and writes that an array's ports can do. */
function does({ ports }: ScanMemory): string {
  const count = (letters: string) => Number(new RegExp(`(\\d+)${letters}(?!w)`).exec(ports)?.[1] ?? 0);
  const both = count("rw");
  return `${count("r") + both} ${Number(/(\d+)w/.exec(ports)?.[1] ?? 0) + both}`;
}

/** Compares what a scan found in wrappers with their names and with the blocks that the manifest counts. */
function compare(result: ScanResult, manifest: Manifest): void {
  expect(result.unread).toEqual([]);
  expect(result.unsized).toEqual([]);
  let blocks = 0;
  for (const memory of [...result.memories, ...result.registers]) {
    const { bits, widths, ports } = told(memory.module);
    expect(memory.depth * memory.width, memory.module).toBe(bits);
    expect(memory.width, memory.module).toBe(Math.min(...widths));
    // A block whose two sides read or write words of different widths is asked about.
    const mixed = memory.questions.some((number) => result.questions[number - 1]!.code === "ports");
    if (!mixed) expect(does(memory), memory.module).toBe(ports);
    if (!/_\d+r\d+w(?:_contents)?$/.test(memory.module)) blocks += memory.instances;
  }
  const counted = manifest.modules.flatMap(({ blocks: own, instances }) =>
    instances.flatMap(({ count }) => Object.values(own).map((each) => each * count)),
  );
  expect(blocks).toBe(counted.reduce((sum, each) => sum + each, 0));
}

async function wrapped(
  design: Design,
  device: Device,
  language: Language,
  contents?: ReadonlyMap<string, string>,
  deadlineMs = 20_000,
) {
  const plan = await pack(design, device, { deadlineMs });
  const outcome = wrap(plan, design, device, { language, bench: false, ...(contents ? { contents } : {}) });
  return { plan, outcome };
}

/** A design that the device has no home for is none of this test's. */
function unpacked(error: unknown): { readonly outcome: null } {
  if (error instanceof NothingLegalError) return { outcome: null };
  throw error;
}

describe.each(readdirSync(FOLDER))("the wrappers of %s", (file) => {
  const { design } = loadDesign(FOLDER + file);
  const device = findDevice(design.device!);

  it.each(VERILOG)("have the blocks of the plan when they are scanned, in %s", async (language) => {
    const { plan, outcome } = await wrapped(design, device, language);
    if (outcome.status === "refused") throw new Error(JSON.stringify(outcome.problems));
    const result = await scanned(outcome.files, outcome.manifest);
    compare(result, outcome.manifest);
    // And the design that was found needs the same blocks again, but where the design form has no such block.
    const again = readDesign({ file: "again.yaml", text: designText(result) });
    if (!again.ok) throw new Error(JSON.stringify(again.diagnostics));
    if (result.questions.length > 0) return;
    const { totals } = await pack(again.design, device, { deadlineMs: 20_000 });
    expect(totals.blocks).toEqual(plan.totals.blocks);
  });
});

describe("the wrappers of random designs", () => {
  it("have the blocks of their plans when they are scanned", async () => {
    let done = 0;
    await fc.assert(
      fc.asyncProperty(
        wrapCase,
        fc.constantFrom(...VERILOG),
        async ({ design, device, contents }, language) => {
          const { outcome } = await wrapped(design, device, language, contents, 30).catch(unpacked);
          if (outcome === null || outcome.status === "refused") return;
          compare(await scanned(outcome.files, outcome.manifest), outcome.manifest);
          done++;
        },
      ),
      { numRuns: 40, seed: 3, endOnFailure: true },
    );
    expect(done).toBeGreaterThan(20);
  });
});
