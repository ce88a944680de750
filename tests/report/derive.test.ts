import { describe, expect, it } from "vitest";
import { type Design, memoryRequest } from "../../src/model/index.js";
import { deriveJson, deriveTable } from "../../src/report/index.js";

const ONE_PORT = { read: 0, write: 0, readWrite: 1 };
const DESIGN: Design = {
  name: "test-bench",
  device: null,
  clockMHz: 50,
  limits: { blocks: {}, luts: null },
  weights: {},
  small: { lutDepth: null, registerBits: 512 },
  requests: [
    memoryRequest({
      name: "log",
      depth: 3000,
      width: 20,
      ports: ONE_PORT,
      instances: 2,
      pump: 3,
      collision: "old",
    }),
    memoryRequest({
      name: "l1d.data",
      depth: 1024,
      width: 64,
      ports: { read: 1, write: 1, readWrite: 0 },
      lane: 8,
      clocks: 2,
      read: "async",
      wordsPerAccess: { read: 1, write: 2 },
      maxCascade: 4,
      homes: ["BLK", "LUT"],
      realisation: "one-copy",
      formula: { depth: "sets 128 x words per line 8 = 1024", width: "access 64" },
    }),
  ],
  warnings: [{ subject: "l1d", message: "too large for its page", source: null }],
};

describe("derived requests", () => {
  it("come as a table with formulas, traits, the sum of bits and warnings", () => {
    const text = deriveTable(DESIGN);
    expect(text).toMatch(/^log +3,000 x 20 +1rw +2 +as written$/m);
    expect(text).toContain("pumped at up to 3 x clock");
    expect(text).toMatch(/^l1d\.data +1,024 x 64 +1r1w +1 +words: sets 128 x words per line 8 = 1024$/m);
    expect(text).toContain("collisions show the old word");
    const words = text.replace(/\s+/g, " ");
    expect(words).toContain(
      "bits: access 64 write lanes of 8 bits, asynchronous read, two clocks, writes 2 words at once, " +
        "pinned to one-copy, only in BLK, LUT, at most 4 deep",
    );
    // 2 x 3000 x 20 + 1024 x 64
    expect(text).toContain("185,536 bits in all instances together.");
    expect(text).toContain("- l1d: too large for its page");
    for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("come as JSON with every field of a request but its place", () => {
    const read = JSON.parse(deriveJson(DESIGN));
    expect(read.format).toBe("ramtailor-requests/1");
    const { source: _, ...fields } = DESIGN.requests[1]!;
    expect(read.requests[1]).toEqual({ ...fields, bits: 65_536 });
    expect(read.warnings).toEqual([{ subject: "l1d", message: "too large for its page" }]);
  });
});
