import { describe, expect, it } from "vitest";
import { findDevice, loadDesign } from "../../src/input/index.js";
import type { Plan } from "../../src/model/index.js";
import { checkPlan } from "../../src/plan/check.js";
import { ramtailor } from "./run-command.js";

const SMALL = new URL("fixtures/small.yaml", import.meta.url).pathname;
const TERMINAL = { isTTY: true, columns: 100 };
const ESCAPE = "\u001b";

describe("pack", () => {
  it("prints the plan and exits 0 where it fits", async () => {
    const { exit, stdout, stderr } = await ramtailor("pack small.yaml");
    expect(stderr).toBe("");
    expect(exit).toBe(0);
    expect(stdout).toMatch(/^small on ecp5-25f: 3 memories$/m);
    expect(stdout).toMatch(/^samples +2 x 1024x18|^samples +1 x 1024x18/m);
    expect(stdout).toContain("Fits. No plan takes less: proven optimal");
    expect(stdout).toContain("estimates before place-and-route");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("prints a plan as JSON that stands up to the checker", async () => {
    const { exit, stdout } = await ramtailor("pack small.yaml --json");
    expect(exit).toBe(0);
    const plan = JSON.parse(stdout) as Plan;
    expect(plan.format).toBe("ramtailor-plan/1");
    expect(plan.status).toBe("optimal");
    expect(checkPlan(plan, loadDesign(SMALL).design.requests, findDevice("ecp5-25f"))).toEqual([]);
  });

  it("gives the same value with each engine and on each run but for the time", async () => {
    const values = [];
    for (const engine of ["auto", "javascript-lp-solver", "highs"]) {
      const { stdout } = await ramtailor(`pack small.yaml --json --engine ${engine} --deadline 30`);
      values.push((JSON.parse(stdout) as Plan).objective.value);
    }
    expect(new Set(values).size).toBe(1);
  });

  it("takes another device than the design's", async () => {
    const { stdout } = await ramtailor("pack no-device.yaml --device ecp5-45f --json");
    expect((JSON.parse(stdout) as Plan).device).toBe("ecp5-45f");
  });

  it("exits 1 where the design does not fit and says by how much", async () => {
    const { exit, stdout } = await ramtailor("pack too-large.yaml");
    expect(exit).toBe(1);
    expect(stdout).toContain("Does not fit: 4 EBR too many.");
    const json = await ramtailor("pack too-large.yaml --json");
    expect(json.exit).toBe(1);
    expect((JSON.parse(json.stdout) as Plan).totals.over).toEqual({ EBR: 4 });
  });

  it("colours only a terminal, and not where NO_COLOR is set to something", async () => {
    expect((await ramtailor("pack small.yaml", TERMINAL)).stdout).toContain(ESCAPE);
    expect((await ramtailor("pack small.yaml", { ...TERMINAL, env: { NO_COLOR: "" } })).stdout).toContain(
      ESCAPE,
    );
    expect(
      (await ramtailor("pack small.yaml", { ...TERMINAL, env: { NO_COLOR: "1" } })).stdout,
    ).not.toContain(ESCAPE);
    expect((await ramtailor("pack small.yaml", { ...TERMINAL, env: { TERM: "dumb" } })).stdout).not.toContain(
      ESCAPE,
    );
    expect((await ramtailor("pack small.yaml")).stdout).not.toContain(ESCAPE);
    expect((await ramtailor("pack small.yaml --json", TERMINAL)).stdout).not.toContain(ESCAPE);
  });
});

describe("check", () => {
  it("exits 0 with one line where every limit is kept", async () => {
    const { exit, stdout } = await ramtailor("check small.yaml --max-blocks EBR=10 --max-waste 90%");
    expect(exit).toBe(0);
    expect(stdout).toMatch(/^small on ecp5-25f fits \(proven optimal\): \d of 10 EBR, .*\n$/);
  });

  it("exits 1 with a line for each broken limit", async () => {
    const { exit, stdout } = await ramtailor("check small.yaml --max-blocks EBR=1 --max-waste 1%");
    expect(exit).toBe(1);
    const [title, blocks, waste, end, ...more] = stdout.split("\n");
    expect(title).toBe("small on ecp5-25f breaks 2 limits (proven optimal)");
    expect(blocks).toMatch(/^EBR: \d blocks used, 1 allowed, \d over$/);
    expect(waste).toMatch(/^waste: \d+(\.\d+)?% of the block bits, 1% allowed$/);
    expect([end, ...more]).toEqual([""]);
  });

  it("exits 1 over the device's own budget", async () => {
    const { exit, stdout } = await ramtailor("check too-large.yaml");
    expect(exit).toBe(1);
    expect(stdout).toContain("EBR: 60 blocks used, 56 allowed, 4 over");
  });

  it("does not take a limit above the device's budget for more blocks", async () => {
    const { exit, stdout } = await ramtailor("check too-large.yaml --max-blocks EBR=1000 --json");
    expect(exit).toBe(1);
    const { passed, broken } = JSON.parse(stdout);
    expect(passed).toBe(false);
    expect(broken).toEqual([{ limit: "blocks", name: "EBR", used: 60, allowed: 56 }]);
  });

  it("limits logic", async () => {
    const { exit, stdout } = await ramtailor("check small.yaml --max-luts 0 --json");
    const { passed, totals } = JSON.parse(stdout);
    expect(totals.lutsAvailable).toBe(0);
    expect(exit).toBe(passed ? 0 : 1);
    expect(passed).toBe(totals.luts === 0);
  });
});

describe("derive", () => {
  it("prints requests with their formulas", async () => {
    const { exit, stdout } = await ramtailor("derive small.yaml");
    expect(exit).toBe(0);
    expect(stdout).toMatch(/^samples +1,024 x 18 +1r1w +2 +as written$/m);
    expect(stdout).toMatch(/^regs +32 x 32 +2r1w +1 +words: /m);
  });

  it("prints them as JSON", async () => {
    const { exit, stdout } = await ramtailor("derive small.yaml --json");
    expect(exit).toBe(0);
    const { format, requests } = JSON.parse(stdout);
    expect(format).toBe("ramtailor-requests/1");
    expect(requests.map(({ name }: { name: string }) => name)).toEqual(["samples", "window", "regs"]);
  });
});

describe("devices", () => {
  it("lists them all, as text and as JSON", async () => {
    const { exit, stdout } = await ramtailor("devices");
    expect(exit).toBe(0);
    expect(stdout).toMatch(/^ecp5-25f .*56 EBR/m);
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
    const { devices } = JSON.parse((await ramtailor("devices --json")).stdout);
    for (const { name } of devices) expect(stdout).toMatch(new RegExp(`^${name} `, "m"));
  });

  it("tells each in full, as text and as JSON", async () => {
    const { devices } = JSON.parse((await ramtailor("devices --json")).stdout);
    for (const { name } of devices) {
      const { exit, stdout } = await ramtailor(`devices ${name}`);
      expect(exit).toBe(0);
      for (const line of stdout.split("\n")) expect(line.length, line).toBeLessThanOrEqual(100);
      const device = JSON.parse((await ramtailor(`devices ${name} --json`)).stdout);
      expect(device).toEqual({ format: "ramtailor-device/1", ...findDevice(name) });
    }
  });
});
