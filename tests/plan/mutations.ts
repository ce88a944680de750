/**
 * Corruptions of legal plans. Each is illegal whatever plan it is made from, so that it can be tried on plans built by
 * hand and on packed ones alike.
 */
import type { Device, MemoryRequest, Plan } from "../../src/model/index.js";
import { writers } from "../../src/model/index.js";
import type { ViolationCode } from "../../src/plan/check.js";

/** Data of the model that may be changed in place. */
type Draft<T> = T extends object ? { -readonly [K in keyof T]: Draft<T[K]> } : T;
type DraftPlan = Draft<Plan>;
type DraftBlock = DraftPlan["blocks"][number];
type DraftTenant = DraftBlock["tenants"][number];
type DraftMemory = DraftPlan["memories"][number];
type DraftRequest = Draft<MemoryRequest>;

/** One corrupted plan. */
export interface Mutation {
  readonly name: string;
  readonly plan: Plan;
  /** The requests to check it against; some corruptions change what was asked for. */
  readonly requests: readonly MemoryRequest[];
  /** The design's clock to check it against. */
  readonly clockMHz: number | null;
  /** At least one of these codes has to be among the violations. */
  readonly codes: readonly ViolationCode[];
}

/** What a corruption may look at and change. */
interface Subject {
  readonly plan: DraftPlan;
  readonly requests: DraftRequest[];
  readonly device: Device;
  clockMHz: number | null;
  /** The request of a tenant or memory. */
  request(name: string): DraftRequest;
  /** The first tenant for which the test holds, with its block. */
  find(
    test: (tenant: DraftTenant, block: DraftBlock) => boolean,
  ): { tenant: DraftTenant; block: DraftBlock } | undefined;
  /** The first memory in blocks for which the test holds. */
  memory(test?: (memory: DraftMemory) => boolean): DraftMemory | undefined;
}

/** Changes the subject; returns false where the plan offers nothing to corrupt in this way. */
type Corrupt = (subject: Subject) => boolean | undefined;

const widthOf = (text: string) => Number(text.split("x")[1]);
const depthOf = (text: string) => Number(text.split("x")[0]);
const rowsOf = (tenant: DraftTenant) => tenant.rows[1] - tenant.rows[0] + 1;
const lowWord = (tenant: DraftTenant) => (tenant.inverted ? tenant.word - rowsOf(tenant) + 1 : tenant.word);
const apart = (a: DraftTenant, b: DraftTenant) => !a.ports.some((port) => b.ports.includes(port));

/** Applies a change to the first tenant for which the test holds. */
const onTenant =
  (
    change: (tenant: DraftTenant, block: DraftBlock, subject: Subject) => void,
    test: (tenant: DraftTenant, block: DraftBlock, subject: Subject) => boolean = () => true,
  ): Corrupt =>
  (subject) => {
    const found = subject.find((tenant, block) => test(tenant, block, subject));
    if (found === undefined) return false;
    change(found.tenant, found.block, subject);
    return true;
  };

/** Applies a change to the first memory in blocks for which the test holds. */
const onMemory =
  (
    change: (memory: DraftMemory, subject: Subject) => void,
    test: (memory: DraftMemory, subject: Subject) => boolean = () => true,
  ): Corrupt =>
  (subject) => {
    const memory = subject.memory((candidate) => test(candidate, subject));
    if (memory === undefined) return false;
    change(memory, subject);
    return true;
  };

/** Applies a change to the plan. */
const onPlan =
  (change: (plan: DraftPlan, subject: Subject) => void): Corrupt =>
  (subject) => {
    change(subject.plan, subject);
    return true;
  };

/** A block whose two first tenants pass the test. */
function pair(subject: Subject, test: (a: DraftTenant, b: DraftTenant, block: DraftBlock) => boolean) {
  for (const block of subject.plan.blocks) {
    const [a, b] = block.tenants;
    if (a !== undefined && b !== undefined && test(a, b, block)) return { a, b, block };
  }
  return undefined;
}

/** Two tenants of a pumped block that have a port in common. */
function turnTakers({ plan }: Subject) {
  for (const { pump, tenants } of plan.blocks) {
    const [first, ...others] = tenants;
    const second = others.find((other) => first !== undefined && !apart(first, other));
    if (pump > 1 && first !== undefined && second !== undefined) return { first, second, pump };
  }
  return undefined;
}

function kindOf(subject: Subject, block: DraftBlock) {
  return subject.device.blocks.find((kind) => kind.name === block.kind)!;
}

/** A folded block with two members of one group becomes blocks in which the members come from two group copies. */
const crossGroupCopies =
  (membership: "lockstep" | "exclusive"): Corrupt =>
  (subject) => {
    const found = pair(subject, (a, b, block) => {
      const x = subject.request(a.memory);
      const y = subject.request(b.memory);
      const copies = x.instances / (x[membership]?.members ?? 1);
      const shared = x[membership] !== null && x[membership]?.group === y[membership]?.group;
      return shared && !apart(a, b) && block.repeat >= 2 && copies >= 2 && block.tenants.length === 2;
    });
    if (found === undefined) return false;
    const { a, b, block } = found;
    const unfolded = [
      [0, 1],
      [1, 0],
    ].map(([i, j]) => ({
      ...block,
      id: `${block.id}-${i}`,
      repeat: 1,
      tenants: [
        { ...a, instance: a.instance + i! },
        { ...b, instance: b.instance + j! },
      ],
    }));
    const rest = {
      ...block,
      repeat: block.repeat - 2,
      tenants: block.tenants.map((tenant) => ({ ...tenant, instance: tenant.instance + 2 })),
    };
    const blocks = subject.plan.blocks.filter((other) => other !== block);
    subject.plan.blocks = [...blocks, ...unfolded, ...(rest.repeat > 0 ? [rest] : [])];
    return true;
  };

/** Every corruption: its name, the codes that it may be caught by, and the change. */
const CORRUPTIONS: readonly (readonly [string, readonly ViolationCode[], Corrupt])[] = [
  // Places
  [
    "drop a tenant",
    ["uncovered"],
    onTenant((tenant, block, { plan }) => {
      block.tenants = block.tenants.filter((other) => other !== tenant);
      plan.blocks = plan.blocks.filter(({ tenants }) => tenants.length > 0);
    }),
  ],
  [
    "empty a block",
    ["malformed"],
    onTenant((_, block) => {
      block.tenants = [];
    }),
  ],
  [
    "list a block twice under two ids",
    ["covered-twice"],
    onTenant((_, block, { plan }) => void plan.blocks.push({ ...block, id: `${block.id}-again` })),
  ],
  [
    "list a block twice under one id",
    ["malformed"],
    onTenant((_, block, { plan }) => void plan.blocks.push(block)),
  ],
  ["list a tenant twice", ["covered-twice"], onTenant((tenant, block) => void block.tenants.push(tenant))],
  [
    "shift the bits of a tenant and of its runs",
    ["outside-memory", "covered-twice", "uncovered"],
    onTenant((tenant) => {
      for (const { bits } of [tenant, ...tenant.runs]) {
        bits[0] += 1;
        bits[1] += 1;
      }
    }),
  ],
  [
    "shift the bits of a tenant without its runs",
    ["runs"],
    onTenant((tenant) => {
      tenant.bits = [tenant.bits[0] + 1, tenant.bits[1] + 1];
    }),
  ],
  [
    "shift the rows of a tenant",
    ["outside-memory", "covered-twice", "uncovered"],
    onTenant((tenant) => {
      tenant.rows = [tenant.rows[0] + 1, tenant.rows[1] + 1];
    }),
  ],
  [
    "leave out the last row of a tenant",
    ["uncovered"],
    onTenant(
      (tenant) => {
        tenant.rows[1] -= 1;
      },
      (tenant) => rowsOf(tenant) > 1,
    ),
  ],
  [
    "leave out the first bit of a tenant's last run",
    ["runs"],
    onTenant(
      (tenant) => {
        tenant.runs.at(-1)!.bits[0] += 1;
      },
      (tenant) => tenant.runs.at(-1)!.bits[1] > tenant.runs.at(-1)!.bits[0],
    ),
  ],
  [
    "move a run out of the word",
    ["runs"],
    onTenant((tenant) => {
      tenant.runs.at(-1)!.at = widthOf(tenant.shape);
    }),
  ],
  [
    "move a tenant out of the block's words",
    ["words"],
    onTenant((tenant) => {
      tenant.word = tenant.inverted ? rowsOf(tenant) - 2 : depthOf(tenant.shape);
    }),
  ],
  [
    "invert a tenant in its place",
    ["words"],
    onTenant(
      (tenant) => {
        tenant.inverted = true;
      },
      (tenant) => !tenant.inverted && tenant.word < rowsOf(tenant) - 1,
    ),
  ],
  [
    "put a tenant over another",
    ["overlap"],
    (subject) => {
      const found = pair(subject, (a, b) => {
        const [wa, wb] = [widthOf(a.shape), widthOf(b.shape)];
        const apartNow =
          (lowWord(a) + rowsOf(a)) * wa <= lowWord(b) * wb ||
          (lowWord(b) + rowsOf(b)) * wb <= lowWord(a) * wa;
        return apartNow && a.runs[0]!.at === b.runs[0]!.at;
      });
      if (found === undefined) return false;
      found.b.inverted = false;
      found.b.word = Math.floor((lowWord(found.a) * widthOf(found.a.shape)) / widthOf(found.b.shape));
      return true;
    },
  ],
  [
    "a row that is no number",
    ["malformed"],
    onTenant((tenant) => {
      tenant.rows[1] = Number.NaN;
    }),
  ],
  // Names
  [
    "an unknown memory",
    ["unknown-memory"],
    onTenant((tenant) => {
      tenant.memory = "no.such.memory";
    }),
  ],
  [
    "an instance below 0",
    ["unknown-instance"],
    onTenant((tenant) => {
      tenant.instance = -1;
    }),
  ],
  [
    "an instance past the last",
    ["unknown-instance"],
    onTenant((tenant, _, { request }) => {
      tenant.instance = request(tenant.memory).instances;
    }),
  ],
  [
    "another instance",
    ["covered-twice", "uncovered", "unknown-instance", "logic-tenant", "home"],
    onTenant((tenant) => {
      tenant.instance += 1;
    }),
  ],
  [
    "a copy past the last",
    ["unknown-copy"],
    onTenant((tenant, _, { plan }) => {
      tenant.copy = plan.memories.find(({ name }) => name === tenant.memory)!.copies;
    }),
  ],
  [
    "another copy",
    ["covered-twice"],
    onTenant(
      (tenant) => {
        tenant.copy = 0;
      },
      (tenant) => tenant.copy > 0,
    ),
  ],
  [
    "one repeat too many",
    ["covered-twice", "unknown-instance", "logic-tenant"],
    onTenant((_, block) => {
      block.repeat += 1;
    }),
  ],
  [
    "no repeat",
    ["malformed"],
    onTenant((_, block) => {
      block.repeat = 0;
    }),
  ],
  // Blocks
  [
    "an unknown kind",
    ["unknown-kind"],
    onTenant((_, block) => {
      block.kind = "no such kind";
    }),
  ],
  [
    "an arrangement that the kind lacks",
    ["arrangement"],
    (subject) => {
      for (const block of subject.plan.blocks) {
        const { shapes } = kindOf(subject, block);
        const lacking = (["single", "simple-dual", "true-dual"] as const).find((a) => shapes[a].length === 0);
        if (lacking === undefined) continue;
        block.arrangement = lacking;
        return true;
      }
      return false;
    },
  ],
  [
    "two ports in a single port block",
    ["ports", "arrangement"],
    onTenant(
      (_, block) => {
        block.arrangement = "single";
      },
      (tenant) => tenant.ports.length === 2,
    ),
  ],
  [
    "a shape that no block has",
    ["shape"],
    onTenant((tenant) => {
      tenant.shape = "3x5";
    }),
  ],
  [
    "a shape of another arrangement",
    ["shape"],
    (subject) => {
      for (const block of subject.plan.blocks) {
        const { shapes } = kindOf(subject, block);
        const legal = shapes[block.arrangement].map(({ depth, width }) => `${depth}x${width}`);
        const others = Object.values(shapes).flat();
        const other = others.find(({ depth, width }) => !legal.includes(`${depth}x${width}`));
        if (other === undefined || block.tenants[0] === undefined) continue;
        block.tenants[0].shape = `${other.depth}x${other.width}`;
        return true;
      }
      return false;
    },
  ],
  [
    "another legal shape",
    ["tiles"],
    onTenant(
      (tenant, block, subject) => {
        const shapes = kindOf(subject, block).shapes[block.arrangement];
        const names = shapes.map(({ depth, width }) => `${depth}x${width}`);
        tenant.shape = names.find((name) => name !== tenant.shape)!;
      },
      (_, block, subject) => kindOf(subject, block).shapes[block.arrangement].length > 1,
    ),
  ],
  // Ports
  [
    "no port",
    ["ports"],
    onTenant((tenant) => {
      tenant.ports = [];
    }),
  ],
  [
    "one port instead of two",
    ["ports", "turns"],
    onTenant(
      (tenant) => {
        tenant.ports = ["A"];
      },
      (tenant, _, { request }) => tenant.ports.length === 2 && writers(request(tenant.memory).ports) > 0,
    ),
  ],
  [
    "a reader on the write port",
    ["ports"],
    onTenant(
      (tenant) => {
        tenant.ports = ["A"];
      },
      (tenant, block) => block.arrangement === "simple-dual" && tenant.ports.includes("B"),
    ),
  ],
  [
    "one tenant takes both ports of a shared block",
    ["port-shared", "ports", "turns"],
    (subject) => {
      const found = pair(subject, (a, b) => apart(a, b));
      if (found === undefined) return false;
      found.a.ports = ["A", "B"];
      return true;
    },
  ],
  [
    "two tenants on one port",
    ["port-shared"],
    (subject) => {
      const found = pair(
        subject,
        (a, b, { pump }) =>
          pump === 1 &&
          apart(a, b) &&
          lowWord(a) !== lowWord(b) &&
          subject.request(a.memory).exclusive === null,
      );
      if (found === undefined) return false;
      found.b.ports = [...found.a.ports];
      return true;
    },
  ],
  ["lockstep members of two group copies", ["port-shared"], crossGroupCopies("lockstep")],
  ["exclusive members of two group copies", ["port-shared"], crossGroupCopies("exclusive")],
  [
    "lockstep members at different words",
    ["port-shared"],
    (subject) => {
      const found = pair(subject, (a, b) => !apart(a, b) && lowWord(a) === lowWord(b) && !b.inverted);
      if (found === undefined) return false;
      found.b.word += 1;
      return true;
    },
  ],
  [
    "side by side without a lockstep group",
    ["port-shared"],
    (subject) => {
      const found = pair(
        subject,
        (a, b) => a.memory !== b.memory && !apart(a, b) && lowWord(a) === lowWord(b),
      );
      if (found === undefined) return false;
      subject.request(found.a.memory).lockstep = null;
      return true;
    },
  ],
  [
    "stacked without an exclusive group",
    ["port-shared"],
    (subject) => {
      const found = pair(
        subject,
        (a, b, { pump }) => pump === 1 && a.memory !== b.memory && !apart(a, b) && lowWord(a) !== lowWord(b),
      );
      if (found === undefined) return false;
      subject.request(found.a.memory).exclusive = null;
      return true;
    },
  ],
  // Pumping
  [
    "more turns than a port has",
    ["turns"],
    onTenant((tenant, { pump }) => {
      tenant.turns[0]! += pump;
    }),
  ],
  [
    "a turn too many for two tenants of a port",
    ["turns"],
    (subject) => {
      const found = turnTakers(subject);
      if (found === undefined) return false;
      found.second.turns = found.second.turns.map(() => found.pump);
      return true;
    },
  ],
  [
    "a turn too few for the writes",
    ["turns"],
    onTenant(
      (tenant) => {
        tenant.turns[0]! -= 1;
      },
      (tenant, { arrangement, pump }, { request }) =>
        pump > 1 &&
        arrangement === "simple-dual" &&
        tenant.turns[0] === writers(request(tenant.memory).ports),
    ),
  ],
  [
    "no turn",
    ["turns"],
    onTenant((tenant) => {
      tenant.turns[0] = 0;
    }),
  ],
  ["a turn at no port", ["turns"], onTenant((tenant) => void tenant.turns.push(1))],
  [
    "half a turn",
    ["turns"],
    onTenant((tenant) => {
      tenant.turns[0] = 0.5;
    }),
  ],
  [
    "two tenants that take turns at the same words",
    ["overlap"],
    (subject) => {
      const found = turnTakers(subject);
      if (found === undefined) return false;
      found.second.inverted = false;
      found.second.word = lowWord(found.first) + rowsOf(found.first) - 1;
      return true;
    },
  ],
  [
    "two tenants that take turns set different lanes",
    ["lanes"],
    (subject) => {
      const found = turnTakers(subject);
      if (found === undefined || writers(subject.request(found.first.memory).ports) === 0) return false;
      found.second.lane = found.second.lane === null ? 9 : null;
      return true;
    },
  ],
  [
    "another pump in the layout",
    ["pump"],
    onMemory((memory) => {
      memory.layouts[0]!.pump += 1;
    }),
  ],
  [
    "another pump in the block",
    ["pump"],
    onTenant((_, block) => {
      block.pump += 1;
    }),
  ],
  [
    "a pump that is no whole number",
    ["malformed"],
    onTenant((_, block) => {
      block.pump += 0.5;
    }),
  ],
  [
    "a layout's pump of 0",
    ["malformed"],
    onMemory((memory) => {
      memory.layouts[0]!.pump = 0;
    }),
  ],
  [
    "a pump above the request's",
    ["pump"],
    onTenant(
      (tenant, { pump }, { request }) => {
        request(tenant.memory).pump = pump - 1;
      },
      (_, { pump }) => pump > 1,
    ),
  ],
  [
    "pumped without the request's leave",
    ["pump"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).pump = null;
      },
      (_, { pump }) => pump > 1,
    ),
  ],
  [
    "pumped on two clocks",
    ["pump"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).clocks = 2;
      },
      (_, { pump }) => pump > 1,
    ),
  ],
  [
    "pumped for an asynchronous read",
    ["pump"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).read = "async";
      },
      (_, { pump }) => pump > 1,
    ),
  ],
  [
    "a clock above the fastest",
    ["fastest-clock"],
    (subject) => {
      for (const block of subject.plan.blocks) {
        const fastest = kindOf(subject, block).maxClockMHz;
        if (fastest === null) continue;
        subject.clockMHz = fastest / block.pump + 0.5;
        return true;
      }
      return false;
    },
  ],
  [
    "pumped at an unknown clock",
    ["fastest-clock"],
    (subject) => {
      subject.clockMHz = null;
      return subject.plan.blocks.some(({ pump }) => pump > 1);
    },
  ],
  // Lanes
  [
    "a lane that the shape lacks",
    ["lanes"],
    onTenant((tenant) => {
      tenant.lane = widthOf(tenant.shape) * 64 + 1;
    }),
  ],
  [
    "no lane where the tile holds two of the request",
    ["lanes"],
    onTenant(
      (tenant) => {
        tenant.lane = null;
      },
      (tenant, block, { request }) => {
        const { lane, wordsPerAccess, ports } = request(tenant.memory);
        const plain = wordsPerAccess.read === 1 && wordsPerAccess.write === 1 && writers(ports) > 0;
        if (block.tenants.length > 1 || lane === null || tenant.lane === null || !plain) return false;
        return Math.floor(tenant.bits[0] / lane) !== Math.floor(tenant.bits[1] / lane);
      },
    ),
  ],
  [
    "close the gap between two lanes",
    ["lanes"],
    onTenant(
      (tenant) => {
        const [first, second] = tenant.runs;
        second!.at = first!.at + first!.bits[1] - first!.bits[0] + 1;
      },
      ({ runs, lane }, block, { request }) => {
        const [first, second] = runs;
        if (first === undefined || second === undefined || lane === null) return false;
        const end = first.at + first.bits[1] - first.bits[0];
        const writes = block.tenants.every(({ memory }) => writers(request(memory).ports) > 0);
        return writes && second.at > end + 1 && (end + 1) % lane !== 0;
      },
    ),
  ],
  // Layouts
  [
    "one copy more than there is",
    ["uncovered"],
    onMemory((memory) => {
      memory.layouts[0]!.copies += 1;
      memory.copies = Math.max(...memory.layouts.map(({ copies }) => copies));
    }),
  ],
  [
    "an instance without a layout",
    ["instances"],
    onMemory((memory) => {
      const last = memory.layouts.at(-1)!;
      if (last.instances[0] < last.instances[1]) last.instances[1] -= 1;
      else memory.layouts.pop();
    }),
  ],
  [
    "an instance past the last in a layout",
    ["instances"],
    onMemory((memory) => {
      memory.layouts.at(-1)!.instances[1] += 1;
    }),
  ],
  [
    "one layout twice",
    ["instances"],
    onMemory((memory) => void memory.layouts.push(structuredClone(memory.layouts[0]!))),
  ],
  [
    "a pool that is not there",
    ["home"],
    onMemory((memory) => {
      memory.layouts[0]!.home = "no such pool";
    }),
  ],
  [
    "another pool",
    ["home"],
    onMemory((memory, { device }) => {
      const layout = memory.layouts[0]!;
      layout.home = device.pools.find(({ name }) => name !== layout.home)?.name ?? "LUT";
    }),
  ],
  [
    "blocks for a memory in registers",
    ["logic-tenant"],
    onMemory((memory) => {
      memory.layouts[0]!.home = "registers";
    }),
  ],
  [
    "a realisation that the ports do not allow",
    ["realisation"],
    onMemory((memory, { request }) => {
      const many = writers(request(memory.name).ports) >= 2;
      memory.layouts[0]!.realisation = many ? "replication" : "exclusive-or";
      memory.realisation = memory.layouts[0]!.realisation;
    }),
  ],
  [
    "more stored words than were asked for",
    ["stored-geometry"],
    onMemory((memory) => {
      memory.layouts[0]!.stored.depth += 1;
    }),
  ],
  [
    "one tile too many",
    ["tiles"],
    onMemory((memory) => {
      memory.layouts[0]!.tiles[0]!.count += 1;
    }),
  ],
  [
    "a cascade too deep",
    ["tiles"],
    onMemory((memory) => {
      const { tiles } = memory.layouts[0]!;
      memory.layouts[0]!.cascade = 1 + tiles.reduce((sum, { count }) => sum + count, 0);
      memory.cascade = Math.max(...memory.layouts.map(({ cascade }) => cascade));
    }),
  ],
  // Memories
  [
    "drop a memory",
    ["memory-list"],
    onMemory((memory, { plan }) => {
      plan.memories = plan.memories.filter((other) => other !== memory);
    }),
  ],
  ["a memory twice", ["memory-list"], onMemory((memory, { plan }) => void plan.memories.push(memory))],
  [
    "a memory of another width",
    ["memory-fields"],
    onMemory((memory) => {
      memory.width += 1;
    }),
  ],
  [
    "a memory of another depth",
    ["memory-fields"],
    onMemory((memory) => {
      memory.depth += 1;
    }),
  ],
  [
    "a memory with another port",
    ["memory-fields"],
    onMemory((memory) => {
      memory.ports.read += 1;
    }),
  ],
  [
    "a memory with another lane",
    ["memory-fields"],
    onMemory((memory) => {
      memory.lane = 12345;
    }),
  ],
  [
    "a memory with other copies",
    ["memory-fields"],
    onMemory((memory) => {
      memory.copies += 1;
    }),
  ],
  [
    "waste under another cause",
    ["waste"],
    onPlan(({ memories, totals }) => {
      memories[0]!.waste.widthPadding += 1;
      memories[0]!.waste.depthPadding -= 1;
      totals.waste.widthPadding += 1;
      totals.waste.depthPadding -= 1;
    }),
  ],
  [
    "waste under another memory",
    ["waste"],
    onPlan(({ memories }) => {
      memories[0]!.waste.unreachable += 1;
      memories[0]!.wastedBits += 1;
      memories[memories.length > 1 ? 1 : 0]!.waste.unreachable -= 1;
      memories[memories.length > 1 ? 1 : 0]!.wastedBits -= 1;
      if (memories.length === 1) memories[0]!.waste.replication += 1;
    }),
  ],
  [
    "one bit more waste in a memory",
    ["bits"],
    onPlan(({ memories }) => {
      memories[0]!.wastedBits += 1;
    }),
  ],
  [
    "one bit more asked for by a memory",
    ["bits"],
    onPlan(({ memories }) => {
      memories[0]!.requestedBits += 1;
    }),
  ],
  [
    "a wrong share of the blocks",
    ["block-share"],
    onPlan(({ memories }, { device }) => {
      const pool = device.pools[0]!.name;
      memories[0]!.blocks[pool] = (memories[0]!.blocks[pool] ?? 0) + 0.01;
    }),
  ],
  [
    "a LUT that no layout has",
    ["logic-totals"],
    onPlan(({ totals }) => {
      totals.luts += 1;
    }),
  ],
  [
    "a register that no layout has",
    ["logic-totals"],
    onPlan(({ memories, totals }) => {
      memories[0]!.registers += 1;
      totals.registers += 1;
    }),
  ],
  [
    "a LUT fewer than the layouts have",
    ["logic-totals"],
    onPlan(({ memories, totals }) => {
      const memory = memories[0]!;
      const luts = memory.layouts.reduce(
        (sum, layout) => sum + layout.luts * (layout.instances[1] - layout.instances[0] + 1),
        0,
      );
      totals.luts += luts - 1 - memory.luts;
      memory.luts = luts - 1;
    }),
  ],
  [
    "LUT memory that no layout has",
    ["logic-totals"],
    onPlan(({ totals }) => {
      totals.lutMemory += 1;
    }),
  ],
  [
    "LUT memory that is no part of the LUTs",
    ["logic-totals"],
    onPlan(({ memories }) => {
      const layout = memories[0]!.layouts[0]!;
      layout.lutMemory = layout.luts + 1;
    }),
  ],
  [
    "bits outside blocks that are not there",
    ["logic-totals"],
    onPlan(({ totals }) => {
      totals.logicBits += 1;
    }),
  ],
  // Totals
  [
    "one block over-counted",
    ["block-totals"],
    onPlan(({ totals }, { device }) => {
      const pool = device.pools[0]!.name;
      totals.blocks[pool] = (totals.blocks[pool] ?? 0) + 1;
    }),
  ],
  [
    "a pool that the device lacks",
    ["block-totals"],
    onPlan(({ totals }) => {
      totals.blocks["no such pool"] = 0;
    }),
  ],
  [
    "wrong requested bits",
    ["bits"],
    onPlan(({ totals }) => {
      totals.requestedBits += 1;
    }),
  ],
  [
    "wrong block bits",
    ["bits"],
    onPlan(({ totals }) => {
      totals.blockBits += 1;
    }),
  ],
  [
    "wrong wasted bits",
    ["bits"],
    onPlan(({ totals }) => {
      totals.wastedBits += 1;
    }),
  ],
  [
    "wrong total waste",
    ["waste"],
    onPlan(({ totals }) => {
      totals.waste.replication += 1;
    }),
  ],
  [
    "wrong efficiency",
    ["efficiency"],
    onPlan(({ totals }) => {
      totals.efficiency += 1e-9;
    }),
  ],
  [
    "wrong floor",
    ["floor"],
    onPlan(({ totals }, { device }) => {
      const pool = device.pools[0]!.name;
      totals.floorBlocks[pool] = (totals.floorBlocks[pool] ?? 0) + 1;
    }),
  ],
  [
    "more blocks available than the part has",
    ["available"],
    onPlan(({ totals }, { device }) => {
      const { name, blocks } = device.pools[0]!;
      totals.available[name] = blocks + 1;
    }),
  ],
  [
    "more LUTs available than the part has",
    ["available"],
    onPlan(({ totals }, { device }) => {
      totals.lutsAvailable = device.logic.count + 1;
    }),
  ],
  [
    "more LUT memory available than the part has",
    ["available"],
    ({ plan, device }) => {
      const count = device.lutMemory?.count ?? null;
      if (count === null) return false;
      plan.totals.lutMemoryAvailable = count + 1;
      return true;
    },
  ],
  [
    "over where nothing is",
    ["over"],
    onPlan(({ totals }, { device }) => {
      const pool = device.pools[0]!.name;
      totals.over[pool] = (totals.over[pool] ?? 0) + 1;
    }),
  ],
  [
    "an excess that is not stated",
    ["over"],
    ({ plan }) => {
      const pool = Object.keys(plan.totals.blocks).find((name) => plan.totals.blocks[name]! > 0);
      if (pool === undefined) return false;
      plan.totals.available[pool] = 0;
      plan.totals.over = {};
      return true;
    },
  ],
  // Status
  [
    "over budget although it fits, or the reverse",
    ["status"],
    onPlan((plan) => {
      plan.status = plan.status === "over-budget" ? "feasible" : "over-budget";
    }),
  ],
  [
    "optimal without proof",
    ["status"],
    onPlan((plan) => {
      plan.status = "optimal";
      plan.objective.proven = false;
    }),
  ],
  [
    "proven with a gap",
    ["objective"],
    onPlan((plan) => {
      plan.objective.proven = true;
      plan.objective.bound = plan.objective.value - 1;
    }),
  ],
  [
    "a bound above the value",
    ["objective"],
    onPlan((plan) => {
      plan.objective.proven = false;
      plan.objective.bound = plan.objective.value + 1;
    }),
  ],
  [
    "nothing said to fit, by a plan that does",
    ["objective"],
    ({ plan }) => {
      if (plan.status === "over-budget") return false;
      plan.objective.nothingFits = true;
      return true;
    },
  ],
  [
    "a bound on LUTs above those in use",
    ["objective"],
    onPlan((plan) => {
      plan.objective.lutsBound = plan.totals.luts + 1;
    }),
  ],
  [
    "more LUTs than are available, unsaid",
    ["status"],
    ({ plan }) => {
      if (plan.status === "over-budget" || plan.totals.luts === 0) return false;
      plan.totals.lutsAvailable = plan.totals.luts - 1;
      return true;
    },
  ],
  [
    "another device",
    ["device"],
    onPlan((plan) => {
      plan.device = "another part";
    }),
  ],
  // What was asked for
  [
    "deeper than the request allows",
    ["cascade"],
    onMemory((memory, { request }) => {
      request(memory.name).maxCascade = 0;
    }),
  ],
  [
    "not the pinned realisation",
    ["realisation"],
    onMemory((memory, { request }) => {
      const other = memory.realisation === "one-copy" ? "replication" : "one-copy";
      request(memory.name).realisation = other;
    }),
  ],
  [
    "a home that the request does not allow",
    ["home"],
    onMemory((memory, { request }) => {
      request(memory.name).homes = ["elsewhere"];
    }),
  ],
  [
    "asynchronous read from a block that reads on a clock",
    ["asynchronous-read"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).read = "async";
      },
      (_, block, subject) => !kindOf(subject, block).asynchronousRead,
    ),
  ],
  [
    "contents at start in a block that has none",
    ["initial-contents"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).initialContents = true;
      },
      (_, block, subject) => !kindOf(subject, block).initialContents,
    ),
  ],
  [
    "two clocks in a block of one",
    ["clocks"],
    onTenant(
      (tenant, _, { request }) => {
        request(tenant.memory).clocks = 2;
      },
      (_, block, subject) => kindOf(subject, block).clocks === 1 || block.arrangement === "single",
    ),
  ],
  [
    "a memory that was not asked for",
    ["memory-list"],
    ({ requests }) => {
      requests.pop();
      return true;
    },
  ],
  [
    "a memory that is not served",
    ["memory-list"],
    ({ requests }) => {
      requests.push({ ...requests[0]!, name: "never planned" });
      return true;
    },
  ],
];

/** Names of all corruptions, applicable to a given plan or not. */
export const CORRUPTION_NAMES: readonly string[] = CORRUPTIONS.map(([name]) => name);

/** Every corruption that the plan, legal and with at least one memory, offers a place for. */
export function mutations(
  plan: Plan,
  requests: readonly MemoryRequest[],
  device: Device,
  clockMHz: number | null = null,
): readonly Mutation[] {
  return CORRUPTIONS.flatMap(([name, codes, corrupt]) => {
    // Through JSON, so that no two places share one array.
    const draft = JSON.parse(JSON.stringify(plan)) as DraftPlan;
    const asked = JSON.parse(JSON.stringify(requests)) as DraftRequest[];
    const subject: Subject = {
      plan: draft,
      requests: asked,
      device,
      clockMHz,
      request: (memory) => asked.find((request) => request.name === memory)!,
      find: (test) => {
        for (const block of draft.blocks) {
          const tenant = block.tenants.find((candidate) => test(candidate, block));
          if (tenant !== undefined) return { tenant, block };
        }
        return undefined;
      },
      memory: (test = () => true) =>
        draft.memories.find((memory) => {
          const home = memory.layouts[0]?.home;
          return home !== "LUT" && home !== "registers" && test(memory);
        }),
    };
    if (!corrupt(subject)) return [];
    const corrupted = { plan: draft as Plan, requests: asked as readonly MemoryRequest[] };
    return [{ name, codes, ...corrupted, clockMHz: subject.clockMHz }];
  });
}
