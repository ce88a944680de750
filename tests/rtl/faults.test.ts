import { describe, expect, it } from "vitest";
import { findDevice } from "../../src/input/index.js";
import { type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { type Language, type RtlFile, wrap } from "../../src/rtl/index.js";
import { designOf } from "../support/random-designs.js";
import { lint, simulate, simulateVhdl } from "./simulate.js";
import { contentsText } from "./wrap-cases.js";

const ports = (text: string) => ({ ports: parsePorts(text)! });

type Fields = Partial<MemoryRequest>;

/** Small memories, invented for these tests, with every part that a fault is put into. Depths leave one way to share blocks: left with right, rom with after. */
const MEMORIES: readonly Fields[] = [
  { name: "left", depth: 300, width: 20, ...ports("1rw") },
  { name: "right", depth: 212, width: 20, ...ports("1rw") },
  { name: "lanes", depth: 500, width: 32, lane: 8, ...ports("1r1w") },
  { name: "table", depth: 700, width: 10, ...ports("2r2w"), realisation: "live-value-table" },
  { name: "sum", depth: 700, width: 10, ...ports("1r2w"), realisation: "exclusive-or" },
  { name: "fast", depth: 500, width: 20, ...ports("3r1w"), pump: 2, realisation: "pumped" },
  { name: "rom", depth: 1100, width: 20, ...ports("1r"), contents: "rom.hex" },
  { name: "after", depth: 420, width: 20, ...ports("1rw"), collision: "new" },
];

/** On a device with other shapes: three slabs, of 1024, 512 and 256 words, each as wide as it can be. */
const SLABS: readonly Fields[] = [{ name: "slabs", depth: 1792, width: 16, ...ports("1r1w") }];

/** On a device with LUT memory, which has one width: the wide word is stored. */
const PICK: readonly Fields[] = [
  {
    name: "pick",
    depth: 64,
    width: 9,
    ...ports("1r1w"),
    wordsPerAccess: { read: 1, write: 2 },
    homes: ["LUT"],
  },
];

async function filesOf(
  memories: readonly Fields[],
  deviceName: string,
  language: Language = "verilog",
): Promise<readonly RtlFile[]> {
  const device = findDevice(deviceName);
  const requests = memories.map((memory) =>
    memoryRequest({ name: "", depth: 1, width: 1, ...ports("1rw"), ...memory }),
  );
  const design = designOf(requests, { name: `f_${deviceName}`, clockMHz: 25 });
  const plan = await pack(design, device);
  const contents = new Map([["rom.hex", contentsText(1100, 20, 5)]]);
  const outcome = wrap(plan, design, device, { bench: true, contents, language });
  if (outcome.status === "refused") throw new Error(JSON.stringify(outcome.problems));
  return outcome.files.filter(({ path }) => !path.endsWith(".json"));
}

const good = Promise.all([
  filesOf(MEMORIES, "generic-10k"),
  filesOf(SLABS, "up5k"),
  filesOf(PICK, "ecp5-25f"),
]).then((lists) => lists.flat());

/** The text of the module whose name holds a memory's. */
function moduleOf(files: readonly RtlFile[], memory: string, end = ".v"): RtlFile {
  const found = files.find(({ path }) => path.endsWith(end) && path.split(/[_.]/).includes(memory));
  if (found === undefined) throw new Error(`no module of ${memory}`);
  return found;
}

describe("benches", () => {
  it("find no fault in what is written", async () => {
    const verdicts = await simulate(await good);
    expect([...verdicts.values()].filter(({ passed }) => !passed)).toEqual([]);
  });

  it.each<[string, string, RegExp, string]>([
    ["a swapped slab", "slabs", /\?\s+([\w[\]:]+)\s+:\s+([\w[\]:]+)\)/, "? $2 : $1)"],
    ["an off-by-one bank select of a read", "slabs", /r0_bank\[2:1\] == 2'd2/, "r0_bank[2:1] == 2'd3"],
    ["an off-by-one bank select of a write", "slabs", /w0_addr\[10:9\] == 2'd2/, "w0_addr[10:9] == 2'd3"],
    ["a bank select that is not held", "slabs", /if \(r0_en\) r0_bank/, "if (1'b1) r0_bank"],
    ["a missing inversion", "right", /~right_p0_addr/, "right_p0_addr"],
    ["a shifted lane", "lanes", /w0_lane\[2\]/, "w0_lane[1]"],
    ["shifted data", "lanes", /w0_data\[31:16\]/, "w0_data[30:15]"],
    ["a table that is wrong about the last writer", "table", /~r0_writer/, "r0_writer"],
    ["a write that the next read misses", "sum", /r0_of0_met0 \?/, "1'b0 ?"],
    ["an enable that is forgotten", "sum", /<= w1_en;/, "<= 1'b1;"],
    ["a phase with the address of another", "fast", /~phase \? w0_addr/, "phase ? w0_addr"],
    ["a read of the last phase that is not held", "fast", /_due & ~phase\)\) r0/, "_due)) r0"],
    ["a word picked wrongly", "pick", /~r0_pick/, "r0_pick"],
  ])("find %s", async (_, memory, pattern, wrong) => {
    const files = await good;
    const { path, text } = moduleOf(files, memory);
    expect(text).toMatch(pattern);
    const changed = files.map((file) =>
      file.path === path ? { path, text: text.replace(pattern, wrong) } : file,
    );
    const verdicts = await simulate(changed);
    expect(verdicts.get(path.replace(".v", ""))!.passed).toBe(false);
  });

  it("find contents of another tile", async () => {
    const files = await good;
    const [first, second] = files.filter(({ path }) => /_rom_after\.b\d+\.hex$/.test(path));
    const swapped = files.map((file) =>
      file === first
        ? { ...file, text: second!.text }
        : file === second
          ? { ...file, text: first!.text }
          : file,
    );
    expect((await simulate(swapped)).get("f_generic_10k_rom_after")!.passed).toBe(false);
  });

  it("find a block that shows another word on a collision than is promised", async () => {
    const files = await good;
    const module = moduleOf(files, "after").text;
    // The whole name: others begin with it.
    const uses = (name: string) => new RegExp(`\\b${name}\\b`).test(module);
    const leaf = files.find(({ path }) => path.includes("_rw_new") && uses(path.slice(0, -2)))!;
    const text = leaf.text.replace(/^.*rdata(\[[\d:]*\])? <= [ab]_wdata.*$/gm, "");
    expect(text).not.toBe(leaf.text);
    const verdicts = await simulate(files.map((file) => (file === leaf ? { ...file, text } : file)));
    expect([...verdicts.values()].every(({ passed }) => passed)).toBe(false);
  });
});

describe("benches in VHDL", () => {
  const vhdl = filesOf(MEMORIES, "generic-10k", "vhdl");

  it.each<[string, string, RegExp, string]>([
    ["a missing inversion", "right", /\(not right_p0_addr\)/, "right_p0_addr"],
    ["a shifted lane", "lanes", /w0_lane\(2\)/, "w0_lane(1)"],
    ["a write that the next read misses", "sum", /(w0_previous) when r0_of0_met0 else/, ""],
    ["a phase with the address of another", "fast", /w0_addr when \(not phase\)/, "w0_addr when phase"],
  ])("find %s", async (_, memory, pattern, wrong) => {
    const files = await vhdl;
    const { path, text } = moduleOf(files, memory, ".vhd");
    expect(text).toMatch(pattern);
    const changed = files.map((file) =>
      file.path === path ? { path, text: text.replace(pattern, wrong) } : file,
    );
    const verdicts = await simulateVhdl(changed);
    expect([...verdicts].filter(([, { passed }]) => !passed).map(([module]) => module)).toEqual([
      path.slice(0, -4),
    ]);
  });
});

describe("the linter", () => {
  it("has nothing to say, and would say something of a bit that nothing drives", async () => {
    const files = await good;
    expect(await lint(files)).toBe("");
    const { path, text } = moduleOf(files, "lanes");
    const changed = text.replace(/^ {2}assign r0_data.*$/m, "");
    expect(changed).not.toBe(text);
    expect(await lint(files.map((file) => (file.path === path ? { path, text: changed } : file)))).toMatch(
      /Warning/,
    );
  });
});
