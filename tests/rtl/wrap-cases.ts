/**
 * Random designs for wrappers: those of the packer's tests with what only wrappers look at (contents, collisions), with
 * pinned realisations and pumping so that every one of them comes up, and with large exclusive groups. All invented.
 */
import fc from "fast-check";
import {
  type Design,
  type Device,
  type MemoryRequest,
  memoryRequest,
  parsePorts,
  writers,
} from "../../src/model/index.js";
import { anyCase, boundless } from "../support/random-designs.js";

/** A design to wrap, and the text of its contents files. */
export interface WrapCase {
  readonly design: Design;
  readonly device: Device;
  readonly contents: ReadonlyMap<string, string>;
}

/** Draws for one memory. */
const spice = fc.record({
  pump: fc.constantFrom(null, null, 2, 3, 4),
  pin: fc.boolean(),
  several: fc.constantFrom("exclusive-or" as const, "live-value-table" as const, null),
  collision: fc.constantFrom("any" as const, "any" as const, "old" as const, "new" as const),
  seed: fc.integer({ min: 1, max: 2 ** 30 }),
});

type Spice = typeof spice extends fc.Arbitrary<infer T> ? T : never;

/** Words of a hex file: some order of bits that no shift or swap leaves as it is. */
export function contentsText(depth: number, width: number, seed: number): string {
  let state = BigInt(seed);
  const lines = Array.from({ length: depth }, () => {
    let word = 0n;
    for (let bit = 0; bit < width; bit += 32) {
      state = (state * 6364136223846793005n + 1442695040888963407n) % 2n ** 64n;
      word = (word << 32n) | (state >> 32n);
    }
    return (word % 2n ** BigInt(width)).toString(16);
  });
  return lines.join("\n");
}

function spiced(request: MemoryRequest, { pump, pin, several, collision }: Spice): MemoryRequest {
  const writing = writers(request.ports);
  const grouped = request.lockstep !== null || request.exclusive !== null;
  const sync = request.read === "sync";
  const clocks = writing > 1 && request.ports.read === 0 ? 1 : request.clocks;
  const pumped = pump !== null && clocks === 1 && sync && !grouped;
  const realisation = pumped && pin ? "pumped" : writing > 1 && sync ? several : null;
  return {
    ...request,
    clocks,
    pump: pumped ? pump : null,
    realisation,
    collision,
    contents: request.initialContents ? `${request.name}.hex` : null,
  };
}

/** Seven or eight small memories of one exclusive group: more than the packer tries all partitions of. */
function manyExclusive(seed: number): MemoryRequest[] {
  const ports = parsePorts(seed % 2 === 0 ? "1rw" : "1r1w")!;
  return Array.from({ length: 7 }, (_, index) =>
    memoryRequest({
      name: `e${index}`,
      depth: 20 + ((seed >> index) % 90),
      width: 3 + ((seed >> (index + 3)) % 20),
      ports,
      lane: index === 2 && seed % 3 === 0 ? 3 : null,
      instances: 2,
      exclusive: { group: "many", members: 1 },
    }),
  );
}

/** A design of a few memories on any device, without limits. */
export const wrapCase: fc.Arbitrary<WrapCase> = fc
  .record({
    packed: anyCase({ limits: false, deepest: 1300, most: 2 }),
    spices: fc.array(spice, { minLength: 20, maxLength: 20 }),
    many: fc.integer({ min: 0, max: 19 }),
  })
  .map(({ packed: { design, device }, spices, many }) => {
    const list = many === 0 ? manyExclusive(spices[0]!.seed) : design.requests;
    const requests = list.map((request, index) => spiced(request, spices[index]!));
    const contents = requests.flatMap(({ contents: file, depth, width }, index) =>
      file === null ? [] : [[file, contentsText(depth, width, spices[index]!.seed)] as const],
    );
    return {
      design: { ...design, clockMHz: 40, requests },
      device: boundless(device),
      contents: new Map(contents),
    };
  });
