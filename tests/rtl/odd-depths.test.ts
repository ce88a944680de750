import { describe, expect, it } from "vitest";
import { type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { pack } from "../../src/plan/pack.js";
import { type RtlFile, wrap } from "../../src/rtl/index.js";
import { designOf } from "../support/random-designs.js";
import { tinyDevice, tinyKind } from "../support/tiny-device.js";
import { failures, lint, simulate, simulateVhdl } from "./simulate.js";
import { contentsText } from "./wrap-cases.js";

/** Invented blocks whose depths are no powers of two, so that row and word need adders and comparisons. */
const ODD = tinyDevice(
  [
    tinyKind("ODD", 192, [
      [48, 4, "x"],
      [24, 8, "x"],
      [12, 16, "x"],
    ]),
  ],
  [1000],
);

type Fields = Omit<Partial<MemoryRequest>, "ports"> & { readonly ports: string };

const MEMORIES: readonly Fields[] = [
  { depth: 100, width: 6, ports: "1r1w" },
  { depth: 77, width: 11, ports: "2rw" },
  { depth: 30, width: 4, ports: "1rw", instances: 2 },
  { depth: 15, width: 4, ports: "1rw", instances: 3 },
  { depth: 11, width: 8, ports: "1rw", instances: 2 },
  { depth: 60, width: 9, ports: "2r", contents: "a.hex" },
  { depth: 50, width: 9, ports: "2r2w", realisation: "live-value-table" },
  { depth: 70, width: 5, ports: "2r2w", realisation: "exclusive-or" },
  { depth: 20, width: 8, ports: "1r1w", exclusive: { group: "x", members: 1 } },
  { depth: 4, width: 8, ports: "1r1w", exclusive: { group: "x", members: 1 } },
  { depth: 48, width: 4, ports: "1r1w", wordsPerAccess: { read: 2, write: 1 } },
];

async function filesIn(language: "verilog" | "vhdl"): Promise<readonly RtlFile[]> {
  const requests = MEMORIES.map(({ ports, ...fields }, index) =>
    memoryRequest({ name: `m${index}`, depth: 1, width: 1, ...fields, ports: parsePorts(ports)! }),
  );
  const design = designOf(requests, { name: "odd" });
  const plan = await pack(design, ODD, { deadlineMs: 20_000 });
  const contents = new Map([["a.hex", contentsText(60, 9, 3)]]);
  const outcome = wrap(plan, design, ODD, { language, bench: true, contents });
  if (outcome.status === "refused") throw new Error(JSON.stringify(outcome.problems));
  return outcome.files;
}

describe("blocks whose depths are no powers of two", () => {
  it("are wrapped with adders and comparisons", async () => {
    const files = await filesIn("verilog");
    const text = files.map((file) => file.text).join("\n");
    expect(text).toMatch(/r0_bank >= \d/);
    expect(text).toMatch(/w0_addr - \d/);
    expect(failures(await simulate(files))).toEqual([]);
    expect(await lint(files)).toBe("");
  });

  it("are wrapped in VHDL", async () => {
    expect(failures(await simulateVhdl(await filesIn("vhdl")))).toEqual([]);
  });
});
