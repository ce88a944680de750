import { describe, expect, it } from "vitest";
import { type Candidate, candidateDominates, choicesOf } from "../../src/candidates/index.js";
import { findDevice } from "../../src/input/index.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { rawCandidates } from "../bench/raw-candidates.js";
import { designOf } from "../support/random-designs.js";

/** With the largest fragments first, as all lists of them are. */
function inOrder(candidate: Candidate): Candidate {
  return { ...candidate, fragments: [...candidate.fragments].sort((a, b) => b.extent - a.extent) };
}

/** Cuts that the opponent of the `reference` benchmark lists, which knows nothing of what is left out, and for which nothing stands in. */
function uncovered(deviceName: string, depth: number, width: number, ports: string, lane: number | null) {
  const device = findDevice(deviceName);
  const request = memoryRequest({ name: "m", depth, width, ports: parsePorts(ports)!, lane });
  const design = designOf([request]);
  const { candidates } = choicesOf(design, device).requests[0]!;
  const raw = rawCandidates(design, device, request, candidates).map(inOrder);
  const known = candidates.map(inOrder);
  return {
    cuts: raw.length,
    uncovered: raw.filter((cut) => !known.some((candidate) => candidateDominates(candidate, cut))),
  };
}

describe("plain cuts of a word: full columns of one shape beside what is left in another, below full slabs", () => {
  // Each has more cuts than are kept. Of the first, fifteen columns of two bits and two of one bit were left out once, and with them a
  // plan of one block fewer for a system of the benchmark.
  for (const [device, depth, width, ports, lane] of [
    ["xcku5p", 7738, 32, "1rw", 8],
    ["mpf300t", 2021, 32, "1rw", 8],
    ["mpf300t", 3188, 34, "2r1w", null],
    ["xczu7ev", 6072, 32, "1rw", 8],
    ["ecp5-85f", 3000, 36, "1rw", 9],
    ["10ax115", 5000, 40, "1rw", null],
  ] as const) {
    it(`of ${depth} x ${width} with ${ports} on ${device}, all are candidates or something is as good`, () => {
      const found = uncovered(device, depth, width, ports, lane);
      expect(found.cuts).toBeGreaterThan(10);
      expect(found.uncovered).toEqual([]);
    });
  }
});
