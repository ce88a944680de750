import { type MemoryRequest, portTotal, writers } from "../../model/index.js";
import type { Builder } from "./builder.js";
import type { Cluster } from "./clusters.js";
import { identifier } from "./names.js";
import type { Signal } from "./netlist.js";
import type { Sharing } from "./sharing.js";

/** A port of a memory as the design has it. */
export interface LogicalPort {
  /** `r0`, `w0`, `p0` (read-write), counted by direction. */
  readonly name: string;
  readonly reads: boolean;
  readonly writes: boolean;
  /** Words of the request in one access. */
  readonly words: number;
}

/** Bits that tell `count` things apart; 0 for one. */
export function bitsFor(count: number): number {
  let width = 0;
  while (2 ** width < count) width++;
  return width;
}

/** The ports of a request: read-write, write, read. */
export function logicalPorts({ ports, wordsPerAccess }: MemoryRequest): LogicalPort[] {
  const list = (count: number, letter: string, reads: boolean, writes: boolean, words: number) =>
    Array.from({ length: count }, (_, index) => ({ name: `${letter}${index}`, reads, writes, words }));
  return [
    ...list(ports.readWrite, "p", true, true, 1),
    ...list(ports.write, "w", false, true, wordsPerAccess.write),
    ...list(ports.read, "r", true, false, wordsPerAccess.read),
  ];
}

/** Write lanes in one access; 0 where a whole access has one enable. */
export function lanesOf({ width, lane }: MemoryRequest, words: number): number {
  return lane === null ? 0 : words * Math.ceil(width / lane);
}

/** Words that one port addresses. */
export function portDepth({ depth }: MemoryRequest, { words }: LogicalPort): number {
  return depth / words;
}

/** What the members that see one address share at one logical port. */
export interface GroupPort {
  readonly port: LogicalPort;
  readonly clock: Signal;
  readonly address: Signal;
  /** null where nothing is enabled for all: a write port, or an asynchronous read. */
  readonly enable: Signal | null;
}

/** What a member has for itself at one logical port. */
export interface MemberPort extends GroupPort {
  /** Enable of a write port, or the direction of a read-write port. */
  readonly write: Signal | null;
  readonly lanes: Signal | null;
  readonly writeData: Signal | null;
  readonly readData: Signal | null;
}

/** A member of a cluster as the module's ports show it. */
export interface MemberInterface {
  readonly request: MemoryRequest;
  /** What stands before the names of its own ports; empty for the only member. */
  readonly prefix: string;
  readonly ports: readonly MemberPort[];
}

/** All ports of a module. */
export interface Interface {
  readonly members: readonly MemberInterface[];
  /** The clock of all memories of one clock; null where there is none. */
  readonly clock: Signal | null;
  /** A clock `pump` times as fast, for pumped blocks; null where there are none. */
  readonly fastClock: Signal | null;
  readonly pump: number;
}

/** Name of the clock of a port of a memory of two clocks. */
function clockName(request: MemoryRequest, port: LogicalPort): string {
  const { ports } = request;
  if (writers(ports) > 0 && writers(ports) < portTotal(ports)) return port.writes ? "write_clk" : "read_clk";
  return logicalPorts(request)[0]!.name === port.name ? "clk_0" : "clk_1";
}

/** True where ports that write run on different clocks. */
export function writesOnTwoClocks(request: MemoryRequest): boolean {
  const { ports, clocks } = request;
  return clocks === 2 && writers(ports) > 1 && writers(ports) === portTotal(ports);
}

/** What stands before the names of each member's ports: its memory's name, numbered where that comes more than once. */
function memberPrefixes(cluster: Cluster): string[] {
  const names = cluster.members.map(({ request }) => identifier(request.name));
  if (names.length === 1) return [""];
  const seen = new Map<string, number>();
  return names.map((name) => {
    // Case does not tell names apart in VHDL.
    const key = name.toLowerCase();
    if (names.filter((other) => other.toLowerCase() === key).length === 1) return `${name}_`;
    const number = seen.get(key) ?? 0;
    seen.set(key, number + 1);
    return `${name}_${number}_`;
  });
}

/** Declares the ports of a cluster's module, in the order in which they stand in its text. */
export function declarePorts(builder: Builder, cluster: Cluster, sharing: Sharing): Interface {
  const prefixes = memberPrefixes(cluster);
  const requests = cluster.members.map(({ request }) => request);
  const clock = requests.some(({ clocks }) => clocks === 1) ? builder.input("clk", 1) : null;
  const pump = Math.max(1, ...cluster.blocks.map((block) => block.pump));
  const fastClock = pump > 1 ? builder.input(`clk_x${pump}`, 1) : null;

  const groupPrefixes = sharing.addressed.map((group, index) => {
    if (sharing.addressed.length === 1) return "";
    if (group.length === 1) return prefixes[group[0]!]!;
    const name = requests[group[0]!]!.lockstep!.group;
    const again = sharing.addressed.some(
      (other, place) => place !== index && other.length > 1 && requests[other[0]!]!.lockstep!.group === name,
    );
    return again ? `${identifier(name)}_${index}_` : `${identifier(name)}_`;
  });
  /** Clocks of memories of two clocks; members that share a port share them. */
  const clocks = new Map<string, Signal>();
  const clockOf = (group: number, member: number, port: LogicalPort): Signal => {
    if (requests[member]!.clocks === 1) return clock!;
    const stack = sharing.exclusive.findIndex((list) => list.includes(member));
    const prefix = stack < 0 ? groupPrefixes[group]! : prefixes[sharing.exclusive[stack]![0]!]!;
    const name = clockName(requests[member]!, port);
    const key = stack < 0 ? `group ${group} ${name}` : `stack ${stack} ${name}`;
    const known = clocks.get(key) ?? builder.input(prefix + name, 1);
    clocks.set(key, known);
    return known;
  };

  const members: MemberInterface[] = [];
  sharing.addressed.forEach((group, index) => {
    const first = requests[group[0]!]!;
    const shared = logicalPorts(first).map((port): GroupPort => {
      const name = groupPrefixes[index]! + port.name;
      const sync = first.read === "sync";
      const portClock = clockOf(index, group[0]!, port);
      return {
        port,
        clock: portClock,
        enable: port.reads && sync ? builder.input(`${name}_en`, 1) : null,
        address: builder.input(`${name}_addr`, Math.max(1, bitsFor(portDepth(first, port)))),
      };
    });
    for (const member of group) {
      const request = requests[member]!;
      const ports = shared.map((common): MemberPort => {
        const { port } = common;
        const name = prefixes[member]! + port.name;
        const width = port.words * request.width;
        const lanes = lanesOf(request, port.words);
        const both = port.reads && port.writes;
        return {
          ...common,
          write: port.writes ? builder.input(both ? `${name}_write` : `${name}_en`, 1) : null,
          lanes: port.writes && lanes > 0 ? builder.input(`${name}_lane`, lanes) : null,
          writeData: port.writes ? builder.input(both ? `${name}_wdata` : `${name}_data`, width) : null,
          readData: port.reads ? builder.output(both ? `${name}_rdata` : `${name}_data`, width) : null,
        };
      });
      members[member] = { request, prefix: prefixes[member]!, ports };
    }
  });
  return { members, clock, fastClock, pump };
}
