import { type PortCounts, type Realisation, readers, writers } from "../model/index.js";
import type { CopyUse } from "./tile-option.js";

/** Copies of one sort that a realisation makes in blocks. */
export interface CopyGroup {
  readonly use: CopyUse;
  readonly copies: number;
  /** Read ports of a copy that have a read path. */
  readonly readPorts: number;
}

/** A way to make a memory's ports from block copies. */
export interface BlockRealisation {
  readonly realisation: Realisation;
  readonly groups: readonly CopyGroup[];
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
    found.push({ realisation, groups: groups.filter(({ copies }) => copies > 0) });
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
