import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { findDevice, loadDesign } from "../../src/input/index.js";
import { pack } from "../../src/plan/pack.js";
import { type Language, wrap } from "../../src/rtl/index.js";
import { failures, lint, simulate, simulateVhdl } from "./simulate.js";

const FOLDER = fileURLToPath(new URL("../../designs/", import.meta.url));

describe.each(readdirSync(FOLDER))("the wrappers of %s", (file) => {
  const { design } = loadDesign(FOLDER + file);
  const device = findDevice(design.device!);
  const planned = pack(design, device, { deadlineMs: 20_000 });
  const wrapped = async (language: Language, bench: boolean) => {
    const outcome = wrap(await planned, design, device, { language, bench });
    if (outcome.status === "refused") throw new Error(JSON.stringify(outcome.problems));
    return outcome;
  };

  it("pass their benches", async () => {
    const { files, manifest } = await wrapped("verilog", true);
    const verdicts = await simulate(files);
    expect(failures(verdicts)).toEqual([]);
    expect([...verdicts.keys()].sort()).toEqual(manifest.modules.map(({ module }) => module).sort());
  });

  it("pass them in SystemVerilog", async () => {
    const { files } = await wrapped("systemverilog", true);
    expect(failures(await simulate(files, "2012"))).toEqual([]);
  });

  it("pass those in VHDL", async () => {
    const { files, manifest } = await wrapped("vhdl", true);
    const verdicts = await simulateVhdl(files);
    expect(failures(verdicts)).toEqual([]);
    expect(verdicts.size).toBe(manifest.modules.length);
  });

  it("are linted without a warning", async () => {
    expect(await lint((await wrapped("verilog", false)).files)).toBe("");
    expect(await lint((await wrapped("systemverilog", false)).files, "1800-2012")).toBe("");
  });

  it("serve every instance of every memory once, and have the blocks of the plan", async () => {
    const { manifest } = await wrapped("verilog", false);
    const plan = await planned;
    const served = new Map<string, number[]>();
    const blocks = new Map<string, number>();
    for (const { memories, instances, blocks: own } of manifest.modules) {
      for (const { count, first } of instances) {
        memories.forEach(({ memory }, index) => {
          const list = served.get(memory) ?? [];
          for (let k = 0; k < count; k++) list.push(first[index]! + k);
          served.set(memory, list);
        });
        for (const [kind, each] of Object.entries(own))
          blocks.set(kind, (blocks.get(kind) ?? 0) + each * count);
      }
    }
    for (const { name, instances } of design.requests) {
      expect(
        served.get(name)?.sort((a, b) => a - b),
        name,
      ).toEqual(Array.from({ length: instances }, (_, i) => i));
    }
    const planned_ = new Map<string, number>();
    for (const { kind, repeat } of plan.blocks) planned_.set(kind, (planned_.get(kind) ?? 0) + repeat);
    expect(blocks).toEqual(planned_);
  });

  it("are the same text each time", async () => {
    const again = await pack(design, device, { deadlineMs: 20_000 });
    const outcome = wrap(again, design, device, { bench: true });
    expect(outcome).toEqual(await wrapped("verilog", true));
  });
});
