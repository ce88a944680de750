import { copyFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, it, vi } from "vitest";
import { PartPacker } from "../../src/advise/sweep/pack-parts.js";
import { packTask } from "../../src/advise/sweep/pack-task.js";
import { findDevice, loadDesign, type Plan } from "../../src/index.js";
import { ramtailor } from "./run-command.js";

/** The whole program while a solving engine crashes, hangs or lies: the worker's file is another, and nothing else. */

const state = vi.hoisted(() => ({ fault: "none", asked: 0 }));

vi.mock(import("../../src/solve/worker-host.js"), async (original) => {
  const host = await original();
  return {
    ...host,
    runTask: (engine, task, limits) => {
      if (task.whole) state.asked += 1;
      const spoilt = { ...task, fault: state.fault };
      return host.runTask(engine, spoilt, {
        ...limits,
        workerFile: new URL("./faulty-engine.js", import.meta.url),
      });
    },
  };
});

/** Packs with a fault, on an engine that has to be asked. */
async function packed(fault: string, engine: "highs" | "javascript-lp-solver", deadline = 20) {
  state.fault = fault;
  state.asked = 0;
  const { exit, stdout, stderr } = await ramtailor(
    `pack shares.yaml --engine ${engine} --deadline ${deadline} --json`,
  );
  expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
  expect(state.asked).toBeGreaterThan(0);
  return JSON.parse(stdout) as Plan;
}

const folder = mkdtempSync(join(tmpdir(), "faulty-"));
afterAll(() => rmSync(folder, { recursive: true }));

const right = await packed("none", "highs");

describe.each(["highs", "javascript-lp-solver"] as const)("with %s", (engine) => {
  it("that is right, nothing is said", async () => {
    const plan = await packed("none", engine);
    expect(plan.status).toBe("optimal");
    expect(plan.totals.blocks).toEqual(right.totals.blocks);
    expect(plan.warnings).toEqual([]);
  });

  it.each([
    ["throws", "out of memory"],
    ["exits", "ended with code 3"],
    ["answers nothing but zeros", "violates"],
    ["answers one more of all", "violates|misstates|worth"],
    ["answers parts of it", "not whole|violates|worth"],
    ["answers less than it takes", "worth"],
    ["is too short", "not whole"],
    ["is not a number", "not whole"],
    ["finds no solution", "no solution where one is in hand"],
  ])(
    "that %s, the plan is a checked one, not called optimal, and a warning says why",
    async (fault, reason) => {
      const plan = await packed(fault, engine);
      expect(plan.status).toBe("feasible");
      expect(plan.objective.value).toBeGreaterThanOrEqual(right.objective.value);
      const [warning, ...others] = plan.warnings;
      expect(others).toEqual([]);
      expect(warning?.message).toContain(
        "a solving engine failed, and the plan is the best found without it: ",
      );
      expect(warning?.message).toMatch(new RegExp(`${engine}: .*(${reason})`));
    },
  );

  it("that never returns, the deadline ends it", async () => {
    const plan = await packed("never returns", engine, 1);
    expect(plan.status).toBe("feasible");
  });
});

const COPY = join(folder, "copy.yaml");
copyFileSync(new URL("fixtures/shares.yaml", import.meta.url), COPY);

/** The commands that pack and print no plan, and how many designs they pack. */
const OTHERS = [
  ["check shares.yaml", 1],
  [`compare shares.yaml ${COPY} --json`, 2],
  ["explain shares.yaml a --json", 1],
  [`page shares.yaml --force -o ${join(folder, "page.html")}`, 1],
  [`wrap shares.yaml --force -o ${join(folder, "rtl")} --json`, 1],
  ["reshape shares.yaml --keep a --keep b --keep c --keep d.depth --keep d.ports", 1],
] as const;

describe.each(OTHERS)("%s", (words, designs) => {
  it("says nothing of engines that are right", async () => {
    state.fault = "none";
    const { exit, stderr } = await ramtailor(`${words} --engine highs`);
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
  });

  it.each([
    ["whose thread ends", "exits", "ended with code 3"],
    ["that breaks off", "throws", "out of memory"],
    ["whose answer is wrong", "answers one more of all", "violates|misstates|worth"],
  ])("goes on without an engine %s, and warns once of each reason", async (_, fault, reason) => {
    state.fault = fault;
    state.asked = 0;
    const { exit, stdout, stderr } = await ramtailor(`${words} --engine highs --deadline 20`);
    expect(state.asked).toBeGreaterThan(0);
    expect({ exit, asJson: stdout.startsWith('{\n  "format"') }).toEqual({
      exit: 0,
      asJson: words.endsWith("--json"),
    });
    const lines = stderr.trimEnd().split("\n");
    expect(new Set(lines).size).toBe(lines.length);
    expect(lines.length).toBeGreaterThanOrEqual(designs);
    for (const line of lines) {
      expect(line).toMatch(/^warning: \S+\.yaml: a solving engine failed, .* without it: highs: /);
      expect(line).toMatch(new RegExp(reason));
    }
  });
});

it("a sweep's rows warn of engines that fail", async () => {
  state.fault = "exits";
  const { design } = loadDesign(fileURLToPath(new URL("fixtures/shares.yaml", import.meta.url)));
  // The threads of a sweep do the same, out of the reach of this test.
  const pool = { run: (task: Parameters<typeof packTask>[0]) => packTask(task), close: async () => {} };
  const packer = new PartPacker(pool, { engine: "highs", deadlineMs: 20_000 });
  const outcome = await packer.pack(design, findDevice("ecp5-25f"));
  expect(outcome).toMatchObject({
    status: "feasible",
    failures: [expect.stringMatching(/^a solving engine failed, .*highs: .*ended with code 3$/)],
  });
});
