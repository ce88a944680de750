import fc from "fast-check";
import { expect, it } from "vitest";
import type { Design, Device, Plan } from "../../src/model/index.js";
import { NothingLegalError } from "../../src/plan/nothing-legal.js";
import { pack } from "../../src/plan/pack.js";
import { type Manifest, type RtlFile, wrap } from "../../src/rtl/index.js";
import { failures, lint, simulate, simulateVhdl } from "./simulate.js";
import { type WrapCase, wrapCase } from "./wrap-cases.js";

const DESIGNS = 200;
/** Every how many designs are linted, and how many run in VHDL: both take longer than Verilog. */
const LINTED = 5;
const IN_VHDL = 5;
/** Random cycles of each bench; its own default is for one module at a time. */
const CYCLES = 100;
const SEED = 6;

/** What must come up, each at least once. */
const WANTED = [
  ...["one-copy", "replication", "dual-port-replication", "live-value-table", "exclusive-or"],
  ...["pumped", "lut-memory", "registers"],
  ...["two memories in one block", "inverted address", "mixed shapes in one block"],
  ...["lockstep, side by side", "exclusive, stacked", "exclusive, a large group", "pumped, shared"],
  ...["write lanes", "columns", "slabs", "unequal widths by the block", "unequal widths by a wide word"],
  ...["two clocks", "asynchronous read", "contents", "collision old", "collision new", "collision refused"],
];

async function planOf(design: Design, device: Device): Promise<Plan | null> {
  try {
    return await pack(design, device, { deadlineMs: 30 });
  } catch (error) {
    if (error instanceof NothingLegalError) return null;
    throw error;
  }
}

/** The wrappers of a design; memories whose collision the device cannot give go without, and are noted. */
async function wrapped(
  plan: Plan,
  design: Design,
  { device, contents }: WrapCase,
  note: (what: string) => void,
): Promise<{ design: Design; files: readonly RtlFile[]; manifest: Manifest }> {
  const first = wrap(plan, design, device, { bench: true, contents });
  if (first.status === "wrapped") return { design, ...first };
  for (const { message } of first.problems) {
    expect(message).toMatch(/^collision: expected/);
    note("collision refused");
  }
  const refused = new Set(first.problems.map(({ memory }) => memory));
  const requests = design.requests.map((request) =>
    refused.has(request.name) ? { ...request, collision: "any" as const } : request,
  );
  return wrapped(plan, { ...design, requests }, { design, device, contents }, note);
}

/** What a plan has of the things to cover. */
function noteParts(plan: Plan, design: Design, note: (what: string) => void): void {
  const requests = new Map(design.requests.map((request) => [request.name, request]));
  for (const request of design.requests) {
    if (request.lane !== null) note("write lanes");
    if (request.clocks === 2) note("two clocks");
    if (request.read === "async") note("asynchronous read");
    if (request.contents !== null) note("contents");
    if (request.collision !== "any" && request.ports.write + request.ports.readWrite > 0) {
      note(`collision ${request.collision}`);
    }
    const { layouts } = plan.memories.find(({ name }) => name === request.name)!;
    for (const { realisation, stored, cascade, tiles } of layouts) {
      note(realisation);
      const ratio = request.wordsPerAccess.read * request.wordsPerAccess.write;
      const blocks = tiles.length > 0;
      if (ratio > 1 && blocks)
        note(`unequal widths by ${stored.width > request.width ? "a wide word" : "the block"}`);
      if (cascade > 1) note("slabs");
      if (tiles.some(({ count, deep }) => count > deep)) note("columns");
    }
  }
  for (const { tenants, pump } of plan.blocks) {
    const owners = new Set(tenants.map(({ memory, instance }) => `${memory} ${instance}`));
    if (tenants.some(({ inverted }) => inverted)) note("inverted address");
    if (owners.size < 2) continue;
    if (pump > 1) {
      note("pumped, shared");
      continue;
    }
    const [a, b] = [tenants[0]!, tenants.at(-1)!];
    const together = a.ports.some((port) => b.ports.includes(port));
    const request = requests.get(a.memory)!;
    if (!together) note("two memories in one block");
    if (!together && a.shape !== b.shape) note("mixed shapes in one block");
    if (together && request.lockstep !== null) note("lockstep, side by side");
    if (together && request.exclusive !== null) {
      note(request.exclusive.group === "many" ? "exclusive, a large group" : "exclusive, stacked");
    }
  }
}

it(`the wrappers of ${DESIGNS} random designs pass their benches, and every layout comes up`, async () => {
  const counts = new Map(WANTED.map((what) => [what, 0]));
  const note = (what: string) => counts.set(what, (counts.get(what) ?? 0) + 1);
  const files: RtlFile[] = [];
  const linted: RtlFile[] = [];
  const vhdl: RtlFile[] = [];
  let designs = 0;
  const cases = fc.sample(wrapCase, { seed: SEED, numRuns: 2 * DESIGNS });
  for (const [index, each] of cases.entries()) {
    if (designs === DESIGNS) break;
    const design = { ...each.design, name: `d${index}` };
    const plan = await planOf(design, each.device);
    if (plan === null) continue;
    const result = await wrapped(plan, design, each, note);
    noteParts(plan, result.design, note);
    if (designs % LINTED === 0) linted.push(...result.files);
    if (designs % IN_VHDL === 1) {
      const { contents, device } = each;
      const other = wrap(plan, result.design, device, { bench: true, contents, language: "vhdl" });
      if (other.status === "refused") throw new Error(JSON.stringify(other.problems));
      vhdl.push(...other.files);
    }
    files.push(
      ...result.files.map(({ path, text }) => ({
        path,
        text: text.replace(/^ {2}parameter CYCLES = \d+;$/m, `  parameter CYCLES = ${CYCLES};`),
      })),
    );
    designs += 1;
  }
  expect(designs).toBe(DESIGNS);
  const verdicts = await simulate(files);
  console.log(`${verdicts.size} modules;`, Object.fromEntries(counts));
  expect(failures(verdicts)).toEqual([]);
  expect([...counts].filter(([, count]) => count === 0)).toEqual([]);
  expect(await lint(linted)).toBe("");
  const inVhdl = await simulateVhdl(vhdl);
  expect(failures(inVhdl)).toEqual([]);
  expect(inVhdl.size).toBeGreaterThan(DESIGNS / IN_VHDL);
}, 300_000);
