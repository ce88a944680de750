/**
 * Random designs and devices for property tests. All figures are invented; every request keeps the rules that a design
 * file has to keep (see src/input), so that what the packer throws is about the device alone.
 */
import fc from "fast-check";
import { listDevices } from "../../src/input/index.js";
import {
  type Design,
  type Device,
  type MemoryRequest,
  memoryRequest,
  type PortCounts,
  parsePorts,
  portsName,
  portTotal,
  writers,
} from "../../src/model/index.js";

/** The devices that come with the program. */
export const DEVICES: readonly Device[] = listDevices();

/** One of the devices that come with the program. */
export const anyDevice: fc.Arbitrary<Device> = fc.constantFrom(...DEVICES);

/** The device with so many blocks and so much logic that no budget binds. */
export function boundless(device: Device): Device {
  return {
    ...device,
    pools: device.pools.map((pool) => ({ ...pool, blocks: 1_000_000 })),
    lutMemory: device.lutMemory === null ? null : { ...device.lutMemory, count: null },
    logic: { ...device.logic, count: 1_000_000_000 },
  };
}

/** A design of the given requests that limits nothing. */
export function designOf(requests: readonly MemoryRequest[], fields: Partial<Design> = {}): Design {
  return {
    name: "random",
    device: null,
    clockMHz: null,
    limits: { blocks: {}, luts: null },
    weights: {},
    small: { lutDepth: null, registerBits: 0 },
    warnings: [],
    ...fields,
    requests,
  };
}

/** What kinds of memory a random design may have. */
export interface RandomOptions {
  /** Most memories that stand alone; default 6. */
  readonly most?: number;
  /** Default 5000. */
  readonly deepest?: number;
  /** Lockstep and exclusive groups; default true. */
  readonly groups?: boolean;
  /** Limits of blocks and LUTs that may bind; default true. */
  readonly limits?: boolean;
}

function counts(text: string): PortCounts {
  return parsePorts(text)!;
}

/** Every mix of up to three ports that can read, and some of more. */
const PORTS: readonly PortCounts[] = [
  ...[0, 1, 2, 3]
    .flatMap((read) =>
      [0, 1, 2].flatMap((write) => [0, 1, 2, 3].map((readWrite) => ({ read, write, readWrite }))),
    )
    .filter((ports) => portTotal(ports) <= 3 && ports.read + ports.readWrite > 0),
  ...["4r", "5r", "4r1w", "3r1rw", "2r2w", "4r2w", "2r3w"].map(counts),
];

/** The mixes that fit one block copy come up as often as all together. */
const ports: fc.Arbitrary<PortCounts> = fc.oneof(
  fc.constantFrom(...["1rw", "1r1w", "2rw", "1r"].map(counts)),
  fc.constantFrom(...PORTS),
);

function depth(deepest: number): fc.Arbitrary<number> {
  const powers = Array.from({ length: 13 }, (_, bits) => 2 ** bits).filter((words) => words <= deepest);
  return fc.oneof(
    fc.integer({ min: 1, max: deepest }),
    fc.integer({ min: 1, max: Math.min(600, deepest) }),
    fc.constantFrom(...powers),
  );
}

const width: fc.Arbitrary<number> = fc.oneof(
  fc.integer({ min: 1, max: 80 }),
  fc.constantFrom(1, 8, 9, 16, 18, 20, 32, 36, 40, 64, 72),
);

/** A value now and then, otherwise null. */
function rarely<T>(value: fc.Arbitrary<T>, nullsPerValue = 5): fc.Arbitrary<T | null> {
  return fc.option(value, { nil: null, freq: nullsPerValue });
}

/** What the requests of a group agree on, and what a memory that stands alone has for itself. */
const access = fc
  .record({
    ports,
    async: fc.integer({ min: 0, max: 7 }),
    clocks: fc.integer({ min: 0, max: 3 }),
    ratio: fc.constantFrom(1, 1, 1, 2, 4, 8),
    wideRead: fc.boolean(),
  })
  .map(({ ports, async, clocks, ratio, wideRead }) => {
    const unequal = portsName(ports) === "1r1w" ? ratio : 1;
    return {
      ports,
      read: async === 0 ? ("async" as const) : ("sync" as const),
      clocks: clocks === 0 && portTotal(ports) > 1 ? (2 as const) : (1 as const),
      wordsPerAccess: wideRead ? { read: unequal, write: 1 } : { read: 1, write: unequal },
    };
  });

type Access = typeof access extends fc.Arbitrary<infer T> ? T : never;

/** Whole wide words. */
function wholeWords(depthWords: number, { wordsPerAccess }: Access): number {
  const ratio = Math.max(wordsPerAccess.read, wordsPerAccess.write);
  return Math.ceil(depthWords / ratio) * ratio;
}

const own = fc.record({
  width,
  lane: rarely(fc.oneof(fc.constantFrom(1, 4, 8, 9), fc.integer({ min: 1, max: 40 })), 2),
  maxCascade: rarely(fc.integer({ min: 1, max: 3 }), 8),
  initialContents: fc.integer({ min: 0, max: 5 }).map((n) => n === 0),
});

/** A request without its name. */
function request(
  name: string,
  depthWords: number,
  shared: Access,
  fields: typeof own extends fc.Arbitrary<infer T> ? T : never,
  instances: number,
): MemoryRequest {
  const writable = writers(shared.ports) > 0;
  return memoryRequest({
    name,
    depth: wholeWords(depthWords, shared),
    ...shared,
    ...fields,
    lane: fields.lane !== null && writable ? Math.min(fields.lane, fields.width) : null,
    initialContents: !writable || fields.initialContents,
    instances,
  });
}

const instances = fc.integer({ min: 1, max: 5 });

/** One memory that stands alone; its name is to be set. */
export function anyMemory(options: RandomOptions = {}): fc.Arbitrary<MemoryRequest> {
  return fc
    .tuple(depth(options.deepest ?? 5000), access, own, instances)
    .map(([words, shared, fields, count]) => request("m", words, shared, fields, count));
}

/** Members of each request of a group: two to four in all. */
const memberCounts = fc.constantFrom(
  [2],
  [3],
  [4],
  [1, 1],
  [1, 2],
  [2, 1],
  [2, 2],
  [1, 3],
  [1, 1, 1],
  [1, 1, 2],
);

/** Members of each request of an exclusive group: every partition of them is a layout, so no more than three. */
const stackedCounts = fc.constantFrom([2], [3], [1, 1], [1, 2], [2, 1], [1, 1, 1]);

/** A lockstep group: one depth and one way of access. */
function lockstepGroup(name: string, deepest: number): fc.Arbitrary<MemoryRequest[]> {
  return memberCounts.chain((members) =>
    fc
      .tuple(
        depth(deepest),
        access,
        fc.integer({ min: 1, max: 3 }),
        fc.array(fc.tuple(own, fc.boolean()), { minLength: members.length, maxLength: members.length }),
      )
      .map(([words, shared, copies, parts]) =>
        parts.map(([fields, together], part) => ({
          ...request(`${name}${part}`, words, shared, fields, members[part]! * copies),
          lockstep: { group: name, members: members[part]!, together },
        })),
      ),
  );
}

/** An exclusive group: one way of access, different depths and widths. */
function exclusiveGroup(name: string, deepest: number): fc.Arbitrary<MemoryRequest[]> {
  return stackedCounts.chain((members) =>
    fc
      .tuple(
        access,
        fc.integer({ min: 1, max: 3 }),
        fc.array(fc.tuple(depth(deepest), own), { minLength: members.length, maxLength: members.length }),
      )
      .map(([shared, copies, parts]) =>
        parts.map(([words, fields], part) => ({
          ...request(`${name}${part}`, words, shared, fields, members[part]! * copies),
          exclusive: { group: name, members: members[part]! },
        })),
      ),
  );
}

/** Gives the memories names of their own. */
function named(list: readonly MemoryRequest[]): MemoryRequest[] {
  return list.map((memory, index) => ({ ...memory, name: `m${index}` }));
}

/** Limits that may bind, for some pools of the device, or (two times in three) none. */
function limits(device: Device): fc.Arbitrary<Design["limits"]> {
  const few = fc.oneof(fc.integer({ min: 0, max: 12 }), fc.integer({ min: 0, max: 60 }));
  const blocks = fc
    .array(fc.option(few, { nil: null, freq: 2 }), {
      minLength: device.pools.length,
      maxLength: device.pools.length,
    })
    .map((list) =>
      Object.fromEntries(
        device.pools.flatMap(({ name }, index) => (list[index] === null ? [] : [[name, list[index]!]])),
      ),
    );
  const limited = fc.record({ blocks, luts: rarely(fc.integer({ min: 0, max: 400 })) });
  return fc.oneof(
    { weight: 2, arbitrary: fc.constant({ blocks: {}, luts: null }) },
    { weight: 1, arbitrary: limited },
  );
}

/** A design of one to eight memories for a device. */
export function anyDesign(device: Device, options: RandomOptions = {}): fc.Arbitrary<Design> {
  const { most = 6, deepest = 5000, groups = true, limits: limited = true } = options;
  const none = fc.constant<MemoryRequest[]>([]);
  const group = groups
    ? fc.oneof(none, none, lockstepGroup("l", deepest), exclusiveGroup("x", Math.min(deepest, 1500)))
    : none;
  return fc
    .record({
      alone: fc.array(anyMemory({ deepest }), { minLength: 1, maxLength: most }).map(named),
      group,
      limits: limited ? limits(device) : fc.constant({ blocks: {}, luts: null }),
      clockMHz: rarely(fc.constant(100)),
      registerBits: fc.constantFrom(0, 0, 64),
      lutDepth: rarely(fc.constantFrom(0, 32), 3),
    })
    .map(({ alone, group: members, registerBits, lutDepth, ...fields }) =>
      designOf([...alone, ...members].slice(0, 8), { ...fields, small: { lutDepth, registerBits } }),
    );
}

/** A design and its device as they appear in the report of a failed property: only what is not at its default. */
export function caseText({ device, design }: { readonly device: Device; readonly design: Design }): string {
  const defaults = memoryRequest({ name: "", depth: 0, width: 0, ports: counts("1rw") });
  const lines = design.requests.map((entry) => {
    const { name, depth: words, width: bits, ports: mix, initialContents, ...rest } = entry;
    const own = Object.entries(rest).filter(
      ([key, value]) => JSON.stringify(value) !== JSON.stringify(defaults[key as keyof MemoryRequest]),
    );
    const text = JSON.stringify({
      ...Object.fromEntries(own),
      ...(initialContents ? { initialContents } : {}),
    });
    return `${name}: ${words}x${bits} ${portsName(mix)} ${text}`;
  });
  const { limits: most, small, clockMHz } = design;
  return [`${device.name} ${JSON.stringify({ limits: most, small, clockMHz })}`, ...lines].join("\n  ");
}

/** A design with the device it is for. */
export function anyCase(
  options: RandomOptions = {},
  devices: readonly Device[] = DEVICES,
): fc.Arbitrary<{ readonly device: Device; readonly design: Design }> {
  return fc.constantFrom(...devices).chain((device) =>
    anyDesign(device, options).map((design) => ({
      device,
      design,
      [fc.toStringMethod]: () => caseText({ device, design }),
    })),
  );
}
