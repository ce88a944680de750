/**
 * Systems from a seed, for the benchmark: the memories of an invented system around soft processors, fitted to a
 * shipped device, with budgets of one of three sorts. The same seed and options give the same system.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import {
  type Design,
  type Device,
  findDevice,
  type MemoryRequest,
  type Plan,
  pack,
  portsName,
  readers,
  requestBits,
  writers,
} from "../../src/index.js";
import { boundless, designOf } from "../support/random-designs.js";
import { memoriesOf } from "./memories.js";
import { type Random, randomFrom } from "./random.js";

/**
 * - `slack`: the device has more than enough.
 * - `tight`: limits below what the plan without limits takes, that can still be met; often exactly.
 * - `infeasible`: one unit of one pool less than can be done, by a plan that is proven to take the fewest.
 */
export type Budget = "slack" | "tight" | "infeasible";

/** What to generate. */
export interface SystemOptions {
  /** Fewest and most distinct memories. */
  readonly memories: readonly [number, number];
  /** Name of a shipped device. */
  readonly device: string;
  readonly budget: Budget;
  /** Tight only: draw again until the plan without limits breaks them; default false. */
  readonly mustBind?: boolean;
  /**
   * Default false. True: some memories may be pumped at twice the clock, and up to ten tables of one port are one exclusive
   * group, so that blocks hold more than two tenants.
   */
  readonly turns?: boolean;
}

/** A generated system. */
export interface System {
  readonly seed: number;
  readonly design: Design;
  readonly device: Device;
  readonly budget: Budget;
}

/** Long enough for every plan that limits are taken from; they are the same wherever it is long enough. */
const LIMITS_DEADLINE_MS = 20_000;
const MOST_TRIES = 200;
/** Apart so that the tries of a seed and those of the next start differently. */
const SEED_STRIDE = 20;
/** Depths are at most this many times nominal: 10 memories do not fill a large part. */
const MOST_SCALE = 3;
/** Changes with the generator, so that what an older one has kept is not taken. */
const GENERATOR = "g3";
const KEPT = new URL("../../bench/systems/", import.meta.url);

function blockBits(device: Device, pool: string): number {
  const kinds = device.blocks.filter((kind) => kind.pool === pool);
  return Math.max(...kinds.map((kind) => kind.bits / kind.units)) * unitsPerBlock(device, pool);
}

function unitsPerBlock(device: Device, pool: string): number {
  return device.pools.find(({ name }) => name === pool)!.unitsPerBlock;
}

function poolBits(device: Device, pool: string): number {
  return device.pools.find(({ name }) => name === pool)!.blocks * blockBits(device, pool);
}

function deviceBits(device: Device): number {
  return device.pools.reduce((sum, { name }) => sum + poolBits(device, name), 0);
}

/** Bits with the copies that ports ask for. */
function demand(requests: readonly MemoryRequest[]): number {
  return requests.reduce(
    (sum, request) =>
      sum +
      request.instances *
        requestBits(request) *
        Math.max(1, readers(request.ports) - 1) *
        Math.max(1, writers(request.ports)),
    0,
  );
}

/** Memories by the scale of their depths, and the scale at which they ask for about `share` of the device's bits. */
function drawing(seed: number, device: Device, count: number) {
  const twoPorts = device.blocks.some(({ shapes }) => shapes["true-dual"].length > 0);
  const asynchronous = device.lutMemory !== null || device.blocks.some((kind) => kind.asynchronousRead);
  const mix = { count, twoPorts, asynchronous, deepest: 65_536 };
  const at = (scale: number) => memoriesOf(randomFrom(seed), { ...mix, scale });
  const scaleFor = (share: number) => {
    const target = share * deviceBits(device);
    let [low, high] = [1 / 256, MOST_SCALE];
    for (let step = 0; step < 12; step++) {
      const middle = Math.sqrt(low * high);
      if (demand(at(middle)) > target) high = middle;
      else low = middle;
    }
    return low;
  };
  return { at, scaleFor };
}

/** Memories whose demand is about `share` of the device's bits, or less where few memories cannot ask for so much. */
function fitted(seed: number, device: Device, count: number, share: number): MemoryRequest[] {
  const { at, scaleFor } = drawing(seed, device, count);
  return at(scaleFor(share));
}

/** A clock that every block of the device can double, in MHz. */
function halfClock(device: Device): number {
  return Math.floor(Math.min(200, ...device.blocks.map((kind) => kind.maxClockMHz ?? 200)) / 2);
}

/** Some memories may be pumped; the first tables of one port that stand alone are never accessed at one time. */
function takingTurns(random: Random, requests: readonly MemoryRequest[]): MemoryRequest[] {
  let grouped = 0;
  const marked = requests.map((request) => {
    const { ports, lane, instances, lockstep, exclusive, clocks, read, wordsPerAccess } = request;
    const alone = lockstep === null && exclusive === null && clocks === 1 && read === "sync";
    const table = portsName(ports) === "1rw" && lane === null && instances === 1;
    if (alone && table && grouped < 10 && random.chance(70)) {
      grouped += 1;
      return { ...request, exclusive: { group: "turns", members: 1 } };
    }
    const equal = wordsPerAccess.read === wordsPerAccess.write;
    return alone && equal && random.chance(30) ? { ...request, pump: 2 } : request;
  });
  return grouped > 1 ? marked : [...requests];
}

function limited(design: Design, blocks: Readonly<Record<string, number>>, luts: number | null): Design {
  return { ...design, limits: { blocks, luts } };
}

function solved(design: Design, device: Device): Promise<Plan> {
  return pack(design, device, { deadlineMs: LIMITS_DEADLINE_MS });
}

function used(plan: Plan, pool: string): number {
  return plan.totals.blocks[pool] ?? 0;
}

/** Whether a plan made without limits keeps those of the device. */
function keeps(plan: Plan, device: Device): boolean {
  const memory = device.lutMemory?.count ?? null;
  return (
    device.pools.every((pool) => used(plan, pool.name) <= pool.blocks) &&
    plan.totals.luts <= device.logic.count &&
    (memory === null || plan.totals.lutMemory <= memory)
  );
}

/** LUTs of which fewer are left than the plan without limits takes, where a plan can do with so few. */
async function fewerLuts(random: Random, design: Design, device: Device, free: Plan): Promise<number | null> {
  let luts = Math.floor((free.totals.luts * random.int(30, 80)) / 100);
  for (let step = 0; step < 2; step++) {
    if ((await solved(limited(design, {}, luts), device)).status !== "over-budget") return luts;
    luts = Math.ceil((luts + free.totals.luts) / 2);
  }
  return null;
}

/** The pool whose blocks hold the most bits of a plan. */
function mainPool(plan: Plan, device: Device): string {
  const bits = (pool: string) => used(plan, pool) * blockBits(device, pool);
  return device.pools.map(({ name }) => name).reduce((a, b) => (bits(b) > bits(a) ? b : a));
}

/** The limits of a tight or an infeasible system; null: not drawn, as what is just infeasible is not known. */
async function limitsOf(
  random: Random,
  design: Design,
  device: Device,
  free: Plan,
  budget: "tight" | "infeasible",
): Promise<Design["limits"] | null> {
  const luts = random.chance(40) ? await fewerLuts(random, design, device, free) : null;
  const pool = mainPool(free, device);
  const unit = 1 / unitsPerBlock(device, pool);
  // Fewest blocks of the main pool: of the others, any number that the device has.
  const weights = Object.fromEntries(device.pools.map(({ name }) => [name, name === pool ? 1000 : 0.1]));
  const least = await solved({ ...limited(design, {}, luts), weights }, device);
  const fewest = used(least, pool);
  const isFewest = least.objective.value <= least.objective.bound;
  if (budget === "infeasible" && !isFewest) return null;
  if (budget === "infeasible") return { blocks: { [pool]: fewest - unit }, luts };
  const between = [0, 0, 25, 50, 75];
  const room = Math.max(0, used(free, pool) - fewest - unit);
  const steps = Math.round((room * random.pick(between)) / 100 / unit);
  const spare = device.pools.length === 1 && random.chance(40) ? 1 : 0;
  const blocks: Record<string, number> = { [pool]: fewest + (steps + spare) * unit };
  if (device.pools.length > 1 && random.chance(50)) {
    const plan = await solved(limited(design, blocks, luts), device);
    for (const { name } of device.pools) if (name !== pool) blocks[name] = used(plan, name);
  }
  return { blocks, luts };
}

/** Whether a plan made without limits breaks these. */
function binds(limits: Design["limits"], free: Plan): boolean {
  const over = Object.entries(limits.blocks).some(([pool, blocks]) => used(free, pool) > blocks);
  return over || (limits.luts !== null && free.totals.luts > limits.luts);
}

/**
 * The system of a seed. Throws where no try gives one that the device can hold at all. Limits come from proven plans, so
 * they are the same on every machine that proves these plans in time; they are kept under bench/systems/ for the next
 * run (delete the folder to draw them anew).
 */
export async function systemOf(seed: number, options: SystemOptions): Promise<System> {
  const device = findDevice(options.device);
  const { budget, memories, mustBind = false, turns = false } = options;
  const name = [GENERATOR, seed, options.device, budget, ...memories, mustBind, turns].join("-");
  const kept = new URL(`${name}.json`, KEPT);
  if (existsSync(kept)) {
    const design = JSON.parse(readFileSync(kept, "utf8")) as Design;
    return { seed, design, device, budget };
  }
  const system = await drawn(seed, options, device);
  mkdirSync(KEPT, { recursive: true });
  writeFileSync(kept, JSON.stringify(system.design));
  return system;
}

/** The system of a seed, drawn whatever is kept. */
export async function drawn(seed: number, options: SystemOptions, device: Device): Promise<System> {
  const ample = boundless(device);
  const shares = options.budget === "slack" ? [10, 50] : [25, 75];
  for (let attempt = 0, shrink = 1; attempt < MOST_TRIES; attempt++) {
    const random = randomFrom(seed * SEED_STRIDE + attempt);
    const count = random.int(...options.memories);
    const share = (random.int(shares[0]!, shares[1]!) / 100) * shrink;
    const plain = fitted(random.int(0, 2 ** 30), device, count, share);
    const requests = options.turns === true ? takingTurns(random, plain) : plain;
    const design = designOf(requests, {
      name: `system-${seed}`,
      device: device.name,
      clockMHz: options.turns === true ? halfClock(device) : null,
      small: { lutDepth: null, registerBits: 512 },
    });
    const free = await solved(design, ample);
    if (!keeps(free, device)) {
      shrink *= 0.6;
      continue;
    }
    if (options.budget === "slack") return { seed, design, device, budget: options.budget };
    const limits = await limitsOf(random, design, device, free, options.budget);
    if (limits === null) continue;
    const blocked = Object.values(limits.blocks).some((blocks) => blocks < 0);
    if (blocked || (options.mustBind === true && !binds(limits, free))) continue;
    return { seed, design: { ...design, limits }, device, budget: options.budget };
  }
  throw new RangeError(`seed ${seed}: no system of this sort on ${options.device}`);
}

/** Distinct memories of the largest point of the growth curve. */
const LARGEST = 1000;

/**
 * A system of many distinct memories for the growth curve, drawn without packing it first and without limits. Depths are such
 * that 1,000 memories ask for three tenths of the device's bits; fewer ask for less.
 */
export function largeSystem(count: number, deviceName: string): System {
  const device = findDevice(deviceName);
  const scale = drawing(LARGEST, device, LARGEST).scaleFor(0.3);
  const design = designOf(drawing(count, device, count).at(scale), {
    name: `large-${count}`,
    device: device.name,
    small: { lutDepth: null, registerBits: 512 },
  });
  return { seed: count, design, device, budget: "slack" };
}

/** The design with limits that its plan breaks: nine tenths of what the plan's main pool holds. */
export function tightened(design: Design, device: Device, free: Plan): Design {
  const pool = mainPool(free, device);
  return limited(design, { [pool]: Math.floor(0.9 * used(free, pool)) }, null);
}
