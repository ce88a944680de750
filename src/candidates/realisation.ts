import { type PortCounts, type Realisation, readers, writers } from "../model/index.js";
import type { CopyUse, PumpedUse } from "./tile-option.js";

/** Copies of one sort that a realisation makes in blocks. */
export interface CopyGroup {
  readonly use: CopyUse | PumpedUse;
  readonly copies: number;
  /** Read ports of a copy that have a read path. */
  readonly readPorts: number;
}

/** A way to make a memory's ports from block copies. */
export interface BlockRealisation {
  readonly realisation: Realisation;
  readonly groups: readonly CopyGroup[];
  /** Times that the blocks are clocked faster than the design. */
  readonly pump: number;
}

/**
 * All ways to serve the ports from blocks (rule 1 of the design notes). Live-value table: m*n copies, LaForest &
 * Steffan, FPGA 2010; exclusive-or: m*(m-1) + m*n copies, LaForest et al., FPGA 2012. Replication: common practice,
 * no source.
 */
export function blockRealisations(ports: PortCounts): BlockRealisation[] {
  const reads = readers(ports);
  const writes = writers(ports);
  const total = ports.read + ports.write + ports.readWrite;
  const found: BlockRealisation[] = [];
  const add = (realisation: Realisation, ...groups: CopyGroup[]) => {
    found.push({ realisation, groups: groups.filter(({ copies }) => copies > 0), pump: 1 });
  };
  const both = (copies: number): CopyGroup => ({ use: "write-and-read", copies, readPorts: 1 });
  if (total === 1) add("one-copy", { use: writes === 0 ? "one-read" : "one-port", copies: 1, readPorts: 1 });
  if (total === 2) {
    if (ports.read === 1 && ports.write === 1) add("one-copy", both(1));
    else add("one-copy", { use: "two-ports", copies: 1, readPorts: reads });
  }
  if (writes === 0 && reads >= 2) {
    if (reads > 2) {
      add(
        "replication",
        { use: "two-ports", copies: Math.floor(reads / 2), readPorts: 2 },
        { use: "one-read", copies: reads % 2, readPorts: 1 },
      );
    }
    add("replication", { use: "one-read", copies: reads, readPorts: 1 });
  }
  if (writes === 1 && reads >= 2) {
    add("replication", both(reads));
    if (ports.readWrite === 1 && reads > 2) {
      add("dual-port-replication", { use: "two-ports", copies: reads - 1, readPorts: 2 });
    }
  }
  if (writes >= 2 && reads >= 1) {
    add("live-value-table", both(writes * reads));
    add("exclusive-or", both(writes * (writes - 1) + writes * reads));
  }
  return found;
}

/**
 * All ways to serve the ports from blocks clocked `pump` times faster, which offer that many turns a port (rule 7 of the
 * design notes; common practice, no source). Every copy takes all writes; the reads are spread over the copies.
 */
export function pumpedRealisations(ports: PortCounts, pump: number): BlockRealisation[] {
  const reads = readers(ports);
  const writes = writers(ports);
  const total = ports.read + ports.write + ports.readWrite;
  const found: BlockRealisation[] = [];
  const add = (use: PumpedUse, copies: number, readPorts: number) => {
    found.push({ realisation: "pumped", groups: [{ use, copies, readPorts }], pump });
  };
  if (writes <= pump && reads > 0) {
    const copies = Math.ceil(reads / pump);
    add({ pump, arrangement: "simple-dual", turns: [writes, Math.ceil(reads / copies)] }, copies, 1);
  }
  const turns = 2 * pump;
  if (total <= turns) {
    add({ pump, arrangement: "true-dual", turns: [total, 0] }, 1, total > pump ? 2 : 1);
  } else if (writes < turns && reads > 0) {
    const copies = Math.ceil(reads / (turns - writes));
    add({ pump, arrangement: "true-dual", turns: [writes + Math.ceil(reads / copies), 0] }, copies, 2);
  }
  return found;
}
