import { findDevice, type ReadDesign, readDesign } from "../../../src/input/index.js";
import type { Device } from "../../../src/model/index.js";

/** Reads a design text of a test; throws where it has errors. */
export function designOf(text: string): Extract<ReadDesign, { ok: true }> {
  const read = readDesign({ file: "test.yaml", text });
  if (!read.ok) throw new Error(read.diagnostics.map(({ message }) => message).join("\n"));
  return read;
}

/** A design of the tests with the device that it is for. */
export interface Case {
  readonly name: string;
  readonly text: string;
  readonly device: Device;
}

/** Invented designs in which every kind of change has something to say. */
export const CASES: readonly Case[] = [
  {
    name: "memories of every sort on a device with LUT memory",
    device: findDevice("ecp5-25f"),
    text: `design: sorts # of memories
clock: 50 MHz
memories:
  # Queues of the receiver.
  - { name: left, depth: 300, width: 20, ports: 1r1w } # of the left
  - { name: right, depth: 200, width: 20, ports: 1r1w }
  - name: table
    depth: 600 # entries
    width: 16
    ports: 2r1w
    realisation: replication
  - { name: odd, depth: 512, width: 37, ports: 1r1w }
  - { name: two, depth: 100, width: 12, ports: 1rw, instances: 2 }
`,
  },
  {
    name: "structures on a device with LUT memory",
    device: findDevice("ecp5-25f"),
    text: `design: core
structures:
  - { kind: cache, name: l1, size: 8 KiB, ways: 2, line: 32 B, address: 32, access: 32, lane: 8, data: per-way,
      state: apart, index: virtual }
  - { kind: branch-target-buffer, name: targets, entries: 512, address: 32, tag: 20, target: 30, ways: 1 }
  - { kind: fifo, name: queue, depth: 520, width: 18 }
  - { kind: scratchpad, name: local, size: 3 KiB, width: 32, lane: 8, banks: 2 }
`,
  },
  {
    name: "memories on a device without LUT memory",
    device: findDevice("generic-10k"),
    text: `design: plain
memories:
  - { name: a, depth: 100, width: 20, ports: 1r1w }
  - { name: b, depth: 100, width: 22, ports: 1r1w }
  - { name: c, depth: 700, width: 9, ports: 1rw, lane: 3 }
structures:
  - { kind: register-file, name: regs, entries: 64, width: 32, reads: 2, writes: 2, realisation: exclusive-or }
`,
  },
];
