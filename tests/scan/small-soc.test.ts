import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { designText, findDevice, pack, readDesign } from "../../src/index.js";
import { arraysByIcarus } from "./outside.js";
import { briefs, scanText } from "./scan-text.js";

const text = readFileSync(new URL("fixtures/small-soc.sv", import.meta.url), "utf8");

it("a small system: memories, registers and the one question", async () => {
  const { memories, registers, questions, unread } = await scanText(text);
  expect(unread).toEqual([]);
  expect(briefs(memories)).toEqual([
    "soc_ram0 4096x8 1rw",
    "soc_ram1 4096x8 1rw",
    "soc_ram2 4096x8 1rw",
    "soc_ram3 4096x8 1rw",
    "icache_data 512x32 1r1w x2",
    "icache_tag 64x21 1r1w x2",
    "fifo_mem 512x36 1r1w async x2",
    "bht_c 1024x2 1r1rw async initial",
  ]);
  expect(registers.map(({ name }) => name)).toEqual(["icache_valid", "icache_rd", "icache_rt"]);
  expect(questions.map(({ code, line }) => [code, line])).toEqual([["read-style", 31]]);
});

it("has the arrays that Icarus Verilog elaborates", async () => {
  const { memories } = await scanText(text);
  const outside = arraysByIcarus(text, "soc");
  // Ways of the cache are the first dimension of one array there.
  for (const { array, module, depth, width, instances } of memories) {
    const banks = module === "icache" ? 2 : 1;
    expect(outside.get(`${module}.${array} ${depth * banks}x${width}`), array).toBe(instances / banks);
  }
});

it("is packed as it is", async () => {
  const read = readDesign({ file: "soc.yaml", text: designText(await scanText(text)) });
  if (!read.ok) throw new Error(JSON.stringify(read.diagnostics));
  const plan = await pack(read.design, findDevice("ecp5-25f"), { deadlineMs: 20_000 });
  expect(plan.status).toBe("optimal");
});
