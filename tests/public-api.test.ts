import { describe, expect, it } from "vitest";
import * as library from "../src/index.js";

/** What `npm test` builds before the tests run. */
const BUILT = new URL("../dist/index.js", import.meta.url).href;

/** Invented for this test. */
const SOURCE: library.Source = {
  file: "library.yaml",
  text: `
design: library
memories:
  - { name: left, depth: 300, width: 20, ports: 1rw }
  - { name: right, depth: 200, width: 20, ports: 1rw }
  - { name: table, depth: 600, width: 16, ports: 2r1w }
`,
};

/** The main job through the library alone: text in, checked plan and its reports out. */
async function job({ readDesign, findDevice, checkAgainstDevice, hasErrors, pack }: typeof library) {
  const read = readDesign(SOURCE);
  if (!read.ok) throw new Error("the design has errors");
  const device = findDevice("generic-10k");
  expect(hasErrors(checkAgainstDevice(read, device))).toBe(false);
  return { requests: read.design.requests, device, plan: await pack(read.design, device) };
}

describe("the library", () => {
  it("packs a design from its text to a proven plan that passes the check", async () => {
    const { requests, device, plan } = await job(library);
    expect(plan.status).toBe("optimal");
    // 300 + 200 words fit into one block of 512x20 with a port each; 600 words need two blocks a copy, two copies.
    expect(plan.totals.blocks).toEqual({ RAM10K: 5 });
    expect(library.checkPlan(plan, requests, device)).toEqual([]);
    expect(library.planTable(plan)).toContain("shares a block");
    expect(JSON.parse(library.planJson(plan))).toEqual(plan);
  });

  it("gives errors as data with their place", () => {
    const read = library.readDesign({ file: "wrong.yaml", text: "design: wrong\nmemory: []\n" });
    if (read.ok) throw new Error("the design has an error");
    expect(read.diagnostics[0]).toMatchObject({ severity: "error", range: { start: 14 } });
  });

  it("is built with the same exports, and they do the same", async () => {
    const built = (await import(BUILT)) as typeof library;
    expect(Object.keys(built).sort()).toEqual(Object.keys(library).sort());
    const [ours, theirs] = [(await job(library)).plan, (await job(built)).plan];
    expect([theirs.status, theirs.objective]).toEqual([ours.status, ours.objective]);
  });
});
