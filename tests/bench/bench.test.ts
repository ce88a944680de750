import { describe, expect, it } from "vitest";
import { choicesOf } from "../../src/candidates/index.js";
import { checkPlan, findDevice, pack } from "../../src/index.js";
import { packProgram } from "../../src/program/index.js";
import { solvePack } from "../../src/solve/pack-solver.js";
import { boundless } from "../support/random-designs.js";
import { byHand } from "./by-hand.js";
import { proofOptions, referenceOptions } from "./catalogue.js";
import { curveSvg } from "./curve.js";
import { plainProgram, solvePlain } from "./plain-program.js";
import { geometricMean, median } from "./statistics.js";
import { drawn, type SystemOptions } from "./systems.js";

const small = (seed: number): SystemOptions => ({ ...referenceOptions(seed), memories: [5, 10] });
const draw = (seed: number, options: SystemOptions) => drawn(seed, options, findDevice(options.device));

describe("the generator", () => {
  it.each([1, 2, 3])("gives the same system for the same seed: %i", async (seed) => {
    expect(await draw(seed, small(seed))).toEqual(await draw(seed, small(seed)));
  });

  it("gives other systems for other seeds", async () => {
    const first = await draw(4, small(4));
    const second = await draw(8, small(8));
    expect(first.device.name).toBe(second.device.name);
    expect(first.design.requests).not.toEqual(second.design.requests);
  });

  it("spreads the proof's seeds over ten devices and all budgets", () => {
    const options = Array.from({ length: 30 }, (_, seed) => proofOptions(seed));
    expect(new Set(options.map(({ device, budget }) => `${device} ${budget}`)).size).toBe(30);
  });
});

describe("HiGHS alone on the plain program", () => {
  it.each(Array.from({ length: 10 }, (_, index) => index + 1))("proves our values: seed %i", async (seed) => {
    const { design, device } = await draw(seed, small(seed));
    const choices = choicesOf(design, device);
    const ours = await solvePack(packProgram(choices, design, device), { deadlineMs: 60_000 });
    expect(ours.proven).toBe(true);
    const plain = await solvePlain(plainProgram(choices, design, device), 60_000);
    expect(plain).toMatchObject({ status: "optimal", values: ours.spending.objectives });
  });

  it.each([1, 3, 4])("calls infeasible what we call over budget: seed %i", async (seed) => {
    const { design, device } = await draw(seed, { ...small(seed), budget: "infeasible", mustBind: false });
    const choices = choicesOf(design, device);
    const plan = await pack(design, device, { deadlineMs: 60_000 });
    expect(plan).toMatchObject({ status: "over-budget", objective: { proven: true } });
    const plain = await solvePlain(plainProgram(choices, design, device), 60_000);
    expect(plain.status).toBe("infeasible");
  });
});

describe("a designer by hand", () => {
  it.each(Array.from({ length: 20 }, (_, index) => index + 1))(
    "takes no fewer blocks: seed %i",
    async (seed) => {
      const options = { ...proofOptions(seed), memories: [5, 12], budget: "slack" } as const;
      const { design, device } = await draw(seed, options);
      const ample = boundless(device);
      const { spreadsheet, firstFit } = byHand(choicesOf(design, ample), design, ample);
      const plan = await pack(design, ample, { deadlineMs: 60_000 });
      expect(firstFit).toBeLessThanOrEqual(spreadsheet);
      expect(plan.objective.value).toBeLessThanOrEqual(firstFit);
    },
  );
});

it("a tight system is proven, and its plan holds", async () => {
  const { design, device } = await draw(5, small(5));
  const plan = await pack(design, device);
  expect(plan.status).toBe("optimal");
  expect(checkPlan(plan, design.requests, device, design.clockMHz)).toEqual([]);
});

it("a system whose memories take turns has blocks of more than two tenants, and its plan holds", async () => {
  const options = { memories: [30, 40], device: "ecp5-85f", budget: "slack", turns: true } as const;
  const { design, device } = await draw(6, options);
  const plan = await pack(design, device);
  expect(Math.max(...plan.blocks.map(({ tenants }) => tenants.length))).toBeGreaterThan(2);
  expect(checkPlan(plan, design.requests, device, design.clockMHz)).toEqual([]);
});

describe("the figures", () => {
  it("median and geometric mean", () => {
    expect(median([3, 1, 2])).toBe(2);
    expect(median([4, 1, 2, 3])).toBe(2.5);
    expect(geometricMean([2, 8])).toBeCloseTo(4);
  });

  it("a curve has a dot for each point, inside the picture", () => {
    const points = [
      [10, 0.02],
      [1000, 30],
    ] as const;
    const svg = curveSvg("growth", [{ name: "one", colour: "#000", points }]);
    const dots = [...svg.matchAll(/<circle cx="([\d.]+)" cy="([\d.]+)"/g)].map(([, x, y]) => [
      Number(x),
      Number(y),
    ]);
    expect(dots).toHaveLength(2);
    expect(dots[0]![0]).toBeLessThan(dots[1]![0]!);
    expect(dots[0]![1]).toBeGreaterThan(dots[1]![1]!);
    for (const [x, y] of dots) expect(x! > 0 && x! < 640 && y! > 0 && y! < 420).toBe(true);
  });
});
