import fc from "fast-check";
import { choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/index.js";
import { type Device, type MemoryRequest, memoryRequest, parsePorts } from "../../src/model/index.js";
import { type PackProgram, packProgram } from "../../src/program/index.js";
import { designOf } from "./random-designs.js";

const DEVICE = findDevice("ecp5-85f");

/** Some take turns at twice the clock, tables of one port take turns with each other, others share blocks by two. */
export function memoriesInTurns(most: number): fc.Arbitrary<MemoryRequest[]> {
  return fc
    .array(
      fc.record({
        depth: fc.integer({ min: 20, max: 2500 }),
        width: fc.integer({ min: 1, max: 40 }),
        ports: fc.constantFrom("1rw", "1r1w", "2r1w"),
        instances: fc.integer({ min: 1, max: 3 }),
        turns: fc.constantFrom("pumped", "exclusive", "none"),
      }),
      { minLength: 2, maxLength: most },
    )
    .map((list) =>
      list.map(({ depth, width, ports, instances, turns }, index): MemoryRequest => {
        const one = { name: `m${index}`, depth, width };
        if (turns === "exclusive") {
          const exclusive = { group: "tables", members: 1 };
          return memoryRequest({ ...one, ports: parsePorts("1rw")!, exclusive });
        }
        return memoryRequest({
          ...one,
          ports: parsePorts(ports)!,
          instances,
          ...(turns === "pumped" ? { pump: 2 } : {}),
        });
      }),
    );
}

/** The program of memories on a device. `blocks` of its first pool, `luts`: what there is of each; null: all that the device has. */
export function packOf(
  requests: readonly MemoryRequest[],
  blocks: number | null,
  luts: number | null,
  device: Device = DEVICE,
): PackProgram {
  const limits = { blocks: blocks === null ? {} : { [device.pools[0]!.name]: blocks }, luts };
  const design = { ...designOf(requests, { clockMHz: 50, small: { lutDepth: 0, registerBits: 0 } }), limits };
  return packProgram(choicesOf(design, device), design, device);
}
