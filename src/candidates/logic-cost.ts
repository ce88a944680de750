import {
  type Logic,
  type LutMemory,
  type MemoryRequest,
  multiplexer,
  type Realisation,
  readers,
  writers,
} from "../model/index.js";

/** Logic of one instance. */
export interface LogicUse {
  /** All logic units, LUT memory included. */
  readonly luts: number;
  readonly lutMemory: number;
  /** Flip-flops. */
  readonly registers: number;
}

const bitsFor = (values: number) => Math.ceil(Math.log2(Math.max(1, values)));

/** LUTs of an n-input exclusive-or of one bit: a tree of LUTs with `inputs` inputs. */
function exclusiveOr(logic: Logic, n: number): number {
  return Math.ceil((n - 1) / (logic.inputs - 1));
}

/**
 * A register array with any number of ports, as an estimate: flip-flops for every bit; a depth:1 multiplexer a bit
 * for each read port; with m > 1 write ports an m:1 multiplexer at every bit; a write decoder of one LUT a word,
 * write port and write lane. A ROM has only its read multiplexers. Common practice, no source.
 */
export function registerArray(logic: Logic, request: MemoryRequest): LogicUse {
  const { depth, width, ports, lane } = request;
  const writes = writers(ports);
  const lanes = lane === null ? 1 : Math.ceil(width / lane);
  const read = readers(ports) * width * multiplexer(logic, depth).luts;
  const select = writes > 1 ? depth * width * multiplexer(logic, writes).luts : 0;
  const decode = depth > 1 || lanes > 1 ? depth * writes * lanes : 0;
  return { luts: read + select + decode, lutMemory: 0, registers: writes === 0 ? 0 : depth * width };
}

/**
 * LUT memory with a copy for each read port; null where the ports need more than one writer. The cheapest primitive
 * over depth and write lanes, with a read multiplexer where it is more than one primitive deep.
 */
export function lutMemoryUse(logic: Logic, memory: LutMemory, request: MemoryRequest): LogicUse | null {
  const { depth, width, ports } = request;
  const reads = readers(ports);
  if (writers(ports) > 1) return null;
  const onePort = ports.read + ports.write + ports.readWrite === 1;
  const writable = writers(ports) > 0;
  const lane = writable ? (request.lane ?? width) : width;
  let best: LogicUse | null = null;
  for (const shape of memory.shapes) {
    if (shape.arrangement === "single" && !onePort) continue;
    const deep = Math.ceil(depth / shape.depth);
    const full = Math.floor(width / lane);
    const rest = width - full * lane;
    const wide = full * Math.ceil(lane / shape.width) + Math.ceil(rest / shape.width);
    const storage = reads * deep * wide * shape.luts;
    const luts = storage + reads * width * multiplexer(logic, deep).luts;
    if (best === null || luts < best.luts) best = { luts, lutMemory: storage, registers: 0 };
  }
  return best;
}

/**
 * Logic that a realisation adds around its block copies, as an estimate (common practice, no source):
 * - live-value table: depth x ceil(log2 m) flip-flops with n read multiplexers and m write decoders, and an m:1
 *   multiplexer a bit for each read port;
 * - exclusive-or: an m-input exclusive-or a bit for each read and each write port, and a pipeline register of data and
 *   address for each write port.
 */
export function portLogic(logic: Logic, request: MemoryRequest, realisation: Realisation): LogicUse {
  const { depth, width, ports } = request;
  const reads = readers(ports);
  const writes = writers(ports);
  if (realisation === "live-value-table") {
    const tag = bitsFor(writes);
    const table = depth * tag;
    const luts =
      reads * tag * multiplexer(logic, depth).luts +
      depth * writes +
      reads * width * multiplexer(logic, writes).luts;
    return { luts, lutMemory: 0, registers: table };
  }
  if (realisation === "exclusive-or") {
    const luts = (reads + writes) * width * exclusiveOr(logic, writes);
    return { luts, lutMemory: 0, registers: writes * (width + bitsFor(depth)) };
  }
  return { luts: 0, lutMemory: 0, registers: 0 };
}

/**
 * Logic that pumping adds to one memory, as an estimate (common practice, no source): at each physical port of each
 * copy a pump:1 multiplexer for address and, where it writes, data; a register for every read word that waits for the
 * end of the slow cycle; and a phase counter.
 */
export function pumpLogic(
  logic: Logic,
  request: MemoryRequest,
  pump: number,
  copies: number,
  portsPerCopy: number,
): LogicUse {
  const { width, ports } = request;
  const writes = writers(ports);
  const bits = bitsFor(request.depth) * portsPerCopy + (writes > 0 ? width : 0);
  return {
    luts: copies * bits * multiplexer(logic, pump).luts,
    lutMemory: 0,
    registers: readers(ports) * width + pump,
  };
}
