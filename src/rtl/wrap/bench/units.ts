import { type MemoryRequest, type Tenant, writers } from "../../../model/index.js";
import type { MemberPort } from "../logical-ports.js";
import type { Wrapper } from "../module.js";

/** Members that see one address, as a bench drives them. */
export interface BenchUnit {
  readonly members: readonly number[];
  readonly request: MemoryRequest;
  readonly ports: readonly MemberPort[];
  /** Members of which one is picked at each port and cycle, and this unit's place among them; null: always its turn. */
  readonly turn: { readonly set: number; readonly place: number; readonly of: number } | null;
  /** Words of the request that directed stimulus goes to. */
  readonly spots: readonly number[];
  /** Name of the clock that moves the unit from stage to stage. */
  readonly clock: string;
}

/** Most words that directed stimulus goes to, and about as many of a memory that is only read. */
const SPOTS = 80;
const ROM_SPOTS = 512;

/** Words at the edges of tiles, at powers of two and at both ends: where a wrong address line or bank shows. */
function spotsOf(request: MemoryRequest, tenants: readonly Tenant[], inStored: number): number[] {
  const { depth, ports } = request;
  if (writers(ports) === 0) {
    // An odd step, so that every address bit changes.
    const step = 2 * Math.floor(Math.ceil(depth / ROM_SPOTS) / 2) + 1;
    return Array.from({ length: Math.ceil(depth / step) }, (_, index) => index * step);
  }
  const ends = [0, depth - 1];
  const edges = tenants.flatMap(({ rows: [first, last] }) => [
    first * inStored - 1,
    first * inStored,
    (last + 1) * inStored - 1,
    (last + 1) * inStored,
  ]);
  const powers: number[] = [];
  for (let power = 1; power < depth; power *= 2) powers.push(power, depth - 1 - power);
  const wanted = [...new Set([...ends, ...edges, ...powers])].filter((word) => word >= 0 && word < depth);
  return wanted.slice(0, SPOTS);
}

/** The units of a wrapper in the order of its ports. */
export function unitsOf({ cluster, sharing, interface: ports }: Wrapper): BenchUnit[] {
  return sharing.addressed.map((members): BenchUnit => {
    const first = members[0]!;
    const { request } = ports.members[first]!;
    const set = sharing.exclusive.findIndex((list) => list.includes(first));
    const tenants = cluster.blocks.flatMap((block) =>
      block.tenants.filter(({ member }) => members.includes(member)).map(({ tenant }) => tenant),
    );
    const inStored = cluster.members[first]!.layout.stored.width / request.width;
    const own = ports.members[first]!.ports;
    const writer = own.find(({ port }) => port.writes) ?? own[0]!;
    return {
      members,
      request,
      ports: own,
      turn:
        set < 0
          ? null
          : { set, place: sharing.exclusive[set]!.indexOf(first), of: sharing.exclusive[set]!.length },
      spots: spotsOf(request, tenants, inStored),
      clock: writer.clock.name,
    };
  });
}

/** Whether the ports of a memory run on different clocks, so that reads and writes meet at any time. */
export function onTwoClocks({ ports }: BenchUnit): boolean {
  return new Set(ports.map(({ clock }) => clock.name)).size > 1;
}

/** Ports of a unit that read. */
export function readingPorts({ ports }: BenchUnit): readonly MemberPort[] {
  return ports.filter(({ port }) => port.reads);
}

/** Ports of a unit that write. */
export function writingPorts({ ports }: BenchUnit): readonly MemberPort[] {
  return ports.filter(({ port }) => port.writes);
}
