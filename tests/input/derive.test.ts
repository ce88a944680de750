import { describe, expect, test } from "vitest";
import { type DesignData, derive, InputError, readDesign } from "../../src/input/index.js";

/** Invented. */
const DATA: DesignData = {
  design: "data",
  clock: "100 MHz",
  available: { EBR: 20 },
  memories: [{ name: "a", depth: 8, width: 8, ports: "1r1w", lockstep: { group: "g", members: 1 } }],
  structures: [
    { kind: "cache", name: "l1", size: "16 KiB", ways: 4, line: "64 B", address: 38, replacement: "lru" },
    { kind: "fifo", name: "q", depth: 64, width: "36 bits", clocks: 2 },
  ],
};

describe("a design as plain data", () => {
  test("is the design of a file that says the same", () => {
    const text = `
design: data
clock: 100 MHz
available: { EBR: 20 }
memories: [{ name: a, depth: 8, width: 8, ports: 1r1w, lockstep: { group: g, members: 1 } }]
structures:
  - { kind: cache, name: l1, size: 16 KiB, ways: 4, line: 64 B, address: 38, replacement: lru }
  - { kind: fifo, name: q, depth: 64, width: 36 bits, clocks: 2 }
`;
    const read = readDesign({ file: "d.yaml", text });
    if (!read.ok) throw new Error("the design has errors");
    const placeless = (design: typeof read.design) => ({
      ...design,
      requests: design.requests.map((request) => ({ ...request, source: null })),
      warnings: design.warnings.map(({ subject, message }) => ({ subject, message })),
    });
    expect(placeless(derive(DATA).design)).toEqual(placeless(read.design));
    expect(derive(DATA).design.requests.map(({ name }) => name)).toContain("l1.tag");
  });

  test("is left as it was", () => {
    const frozen = Object.freeze(structuredClone(DATA));
    derive(frozen);
    expect(frozen).toEqual(DATA);
  });

  test.each([
    [{ ...DATA, clok: "1 MHz" }, 'unknown key "clok"; did you mean "clock"?'],
    [{ ...DATA, clock: Number.NaN }, 'clock: expected a clock such as "100 MHz", found nothing'],
    [{ design: "d" }, "expected memories or structures, found none"],
    [null, "expected a mapping, found nothing"],
    [undefined, "expected a mapping, found nothing"],
  ])("that is wrong throws all that is wrong with it", (data, message) => {
    try {
      derive(data as DesignData);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      expect(error.diagnostics.map((diagnostic) => diagnostic.message)).toEqual([message]);
      return;
    }
    throw new Error("nothing was thrown");
  });
});
