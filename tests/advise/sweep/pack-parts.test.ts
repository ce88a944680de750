import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { PartPacker } from "../../../src/advise/sweep/pack-parts.js";
import type { PackPool } from "../../../src/advise/sweep/pack-pool.js";
import { type PackTask, packTask } from "../../../src/advise/sweep/pack-task.js";
import { usageOf } from "../../../src/advise/sweep/usage.js";
import {
  type Design,
  type Device,
  findDevice,
  loadDesign,
  NothingLegalError,
  pack,
} from "../../../src/index.js";
import { anyCase, caseText } from "../../support/random-designs.js";
import { designOf, ECP5, SOURCE } from "./designs.js";

/** A pool without threads that remembers its tasks. */
function pool(): PackPool & { readonly tasks: PackTask[] } {
  const tasks: PackTask[] = [];
  return {
    tasks,
    run(task) {
      tasks.push(task);
      return packTask(task);
    },
    close: async () => {},
  };
}

async function expectSame(design: Design, device: Device): Promise<void> {
  const options = { deadlineMs: 60_000 };
  const packed = await new PartPacker(pool(), options).pack(design, device);
  const plan = await pack(design, device, options);
  if (packed.status === "nothing-legal") throw new Error("a memory has no home");
  expect(packed.status).toBe(plan.status);
  const { blocks, luts, requestedBits, blockBits, logicBits } = usageOf(plan);
  expect(packed.usage).toMatchObject({ blocks, luts, requestedBits, blockBits, logicBits });
}

describe("a design in parts", () => {
  it.each([
    ["weather-mast", "up5k"],
    ["dish-controller", "ecp5-85f"],
    ["dish-controller", "ecp5-25f"],
    ["dish-controller", "10ax115"],
  ])("takes what the whole takes: %s on %s", async (name, device) => {
    const path = new URL(`../../../designs/${name}.yaml`, import.meta.url).pathname;
    await expectSame(loadDesign(path).design, findDevice(device));
  });

  it("takes what the whole takes: random designs", async () => {
    const options = { deadlineMs: 60_000 };
    const count = { parts: 0, whole: 0 };
    await fc.assert(
      fc.asyncProperty(anyCase({ most: 3, deepest: 600 }), async ({ device, design }) => {
        const threads = pool();
        const packed = await new PartPacker(threads, options).pack(design, device);
        const plan = await pack(design, device, options).catch((error: unknown) => {
          if (error instanceof NothingLegalError) return null;
          throw error;
        });
        if (plan === null || packed.status === "nothing-legal") {
          expect([plan, packed.status]).toEqual([null, "nothing-legal"]);
          return;
        }
        expect(packed.status, caseText({ device, design })).toBe(plan.status);
        expect(packed.usage.luts, caseText({ device, design })).toBe(plan.totals.luts);
        const whole = threads.tasks.some(
          ({ design: part, mayShare }) => mayShare && part.requests.length === design.requests.length,
        );
        count[whole ? "whole" : "parts"] += 1;
      }),
      { numRuns: 20 },
    );
    // All ways through are taken.
    expect(Math.min(...Object.values(count))).toBeGreaterThan(0);
  });

  it("packs equal parts once, whatever their names and texts, and memories that share together", async () => {
    const threads = pool();
    const packer = new PartPacker(threads, {});
    const first = await packer.pack(designOf(SOURCE.text), ECP5);
    const names = (tasks: readonly PackTask[]) =>
      tasks.map(({ design, mayShare }) => [design.requests.map(({ depth }) => depth), mayShare]);
    expect(names(threads.tasks)).toEqual([
      [[300], false],
      [[400], false],
      [[1024 / 2], false],
      [[64, 64], false],
      [[512], false],
      [[300, 400], true],
    ]);
    const renamed = SOURCE.text.replace("name: samples", "name: spectra").replace("# page", "# changed");
    expect(await packer.pack(designOf(renamed), ECP5)).toEqual(first);
    expect(threads.tasks).toHaveLength(6);
    await packer.pack(designOf(SOURCE.text.replace("ways: 2", "ways: 1")), ECP5);
    // The cache alone is another: its data and its tags.
    expect(names(threads.tasks.slice(6))).toEqual([
      [[1024], false],
      [[128], false],
    ]);
    await packer.pack(designOf(SOURCE.text), findDevice("ecp5-45f"));
    expect(threads.tasks).toHaveLength(14);
  });

  it("packs the whole where the sum of the parts is over a budget", async () => {
    const threads = pool();
    const file = "  - { name: file, depth: 32, width: 32, ports: 1r1w, read: async }\n";
    const tight = `${SOURCE.text}${file}available: { LUT: 10 }\n`;
    const packed = await new PartPacker(threads, {}).pack(designOf(tight), ECP5);
    expect(threads.tasks.at(-1)!.design.requests).toHaveLength(designOf(tight).requests.length);
    const plan = await pack(designOf(tight), ECP5);
    expect(packed).toEqual({ status: plan.status, usage: usageOf(plan), failures: [] });
  });

  it("packs no whole where the sum is over the one pool of blocks alone", async () => {
    const threads = pool();
    const tight = `${SOURCE.text}available: { EBR: 3 }\n`;
    const packed = await new PartPacker(threads, {}).pack(designOf(tight), ECP5);
    const plan = await pack(designOf(tight), ECP5);
    expect(packed).toEqual({ status: "over-budget", usage: usageOf(plan), failures: [] });
    const largest = Math.max(...threads.tasks.map(({ design }) => design.requests.length));
    expect(largest).toBeLessThan(designOf(tight).requests.length);
  });

  it("names the memory that has no home", async () => {
    const text = SOURCE.text.replace(
      "width: 36 }",
      "width: 36 }\n  - { kind: rom, name: boot, size: 1 KiB, width: 32, in: SPRAM }",
    );
    const packed = await new PartPacker(pool(), {}).pack(designOf(text), findDevice("up5k"));
    expect(packed).toMatchObject({ status: "nothing-legal", memory: "boot" });
  });
});
