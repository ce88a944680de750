import { describe, expect, test } from "vitest";
import { type DesignRead, readDesign } from "../../src/input/index.js";
import { heads, memories, structures } from "./heads.js";

/** The design of a text that has no errors. */
function good(text: string): DesignRead {
  const source = { file: "d.yaml", text };
  const read = readDesign(source);
  if (!read.ok) throw new Error(heads(source, read.diagnostics).join("\n"));
  return read;
}

/** The first memory request of a design of one entry. */
function request(entry: string) {
  return good(memories(entry)).design.requests[0]!;
}

describe("a design file", () => {
  test("gives every key its place in the design", () => {
    const { design } = good(
      [
        "design: array-7",
        "device: ./own.yaml",
        "clock: 1.5 GHz",
        "available: { EBR: 190, LUT: 5000, BIG: 0 }",
        "weights: { EBR: 2.5 }",
        "max_cascade: 4",
        "small: { lut_depth: 32, register_bits: 0 }",
        "memories:",
        "  - { name: a, depth: 8, width: 8, ports: 1r1w }",
        "  - { name: b, depth: 8, width: 8, ports: 1r1w, max_cascade: 2 }",
      ].join("\n"),
    );
    expect(design).toMatchObject({
      name: "array-7",
      device: "./own.yaml",
      clockMHz: 1500,
      limits: { blocks: { EBR: 190, BIG: 0 }, luts: 5000 },
      weights: { EBR: 2.5 },
      small: { lutDepth: 32, registerBits: 0 },
      warnings: [],
    });
    expect(design.limits.blocks).not.toHaveProperty("LUT");
    expect(design.requests.map((r) => r.maxCascade)).toEqual([4, 2]);
  });

  test("has a default for all but its name and its memories", () => {
    const { design } = good(memories("name: a, depth: 8, width: 8, ports: 1r1w"));
    expect(design).toMatchObject({
      device: null,
      clockMHz: null,
      limits: { blocks: {}, luts: null },
      weights: {},
      small: { lutDepth: null, registerBits: 512 },
    });
  });

  test("may use anchors, comments and quotes", () => {
    const text = "design: 'd' # ours\nmemories:\n  - {name: a, depth: &n 64, width: *n, ports: \"1r\"}\n";
    expect(good(text).design.requests[0]).toMatchObject({ depth: 64, width: 64 });
  });
});

describe("a memory entry", () => {
  test("has a default for all but name, depth, width and ports", () => {
    expect(request("name: a, depth: 3000, width: 20, ports: 1r1w")).toMatchObject({
      name: "a",
      structure: null,
      depth: 3000,
      width: 20,
      ports: { read: 1, write: 1, readWrite: 0 },
      lane: null,
      read: "sync",
      clocks: 1,
      instances: 1,
      lockstep: null,
      exclusive: null,
      wordsPerAccess: { read: 1, write: 1 },
      realisation: null,
      homes: null,
      pump: null,
      maxCascade: null,
      initialContents: false,
      formula: null,
    });
  });

  test("takes each option", () => {
    const entry = "name: a, depth: 64, width: 8, ports: 1r1w, lane: 4, read: async, clocks: 2, instances: 6";
    expect(request(`${entry}, realisation: lut-memory, in: [EBR, LUT], initial: true`)).toMatchObject({
      lane: 4,
      read: "async",
      clocks: 2,
      instances: 6,
      realisation: "lut-memory",
      homes: ["EBR", "LUT"],
      initialContents: true,
    });
  });

  test("that nothing writes is a ROM, with contents at start", () => {
    expect(request("name: a, depth: 8, width: 8, ports: 2r").initialContents).toBe(true);
  });

  test("may stand at the limits of size", () => {
    const entry = "name: a, depth: 1073741824, width: 65536, ports: 1r";
    expect(request(entry)).toMatchObject({ depth: 2 ** 30, width: 65_536 });
  });

  test("with a group name has all instances in one copy of the group", () => {
    expect(request("name: a, depth: 8, width: 8, ports: 1r1w, instances: 4, lockstep: g").lockstep).toEqual({
      group: "g",
      members: 4,
      together: false,
    });
    expect(request("name: a, depth: 8, width: 8, ports: 1r1w, instances: 4, exclusive: g").exclusive).toEqual(
      {
        group: "g",
        members: 4,
      },
    );
  });

  test("may state its members and that they are written together", () => {
    const entry = "name: a, depth: 8, width: 8, ports: 1r1w, instances: 4";
    expect(request(`${entry}, lockstep: {group: g, members: 2, written: together}`).lockstep).toEqual({
      group: "g",
      members: 2,
      together: true,
    });
  });

  test.each([
    ["read_width: 32", { read: 4, write: 1 }],
    ["write_width: 16", { read: 1, write: 2 }],
    ["read_width: 8, write_width: 64", { read: 1, write: 8 }],
    ["read_width: 8, write_width: 8", { read: 1, write: 1 }],
  ])("with %s moves words of the narrower side", (widths, expected) => {
    expect(request(`name: a, depth: 64, width: 8, ports: 1r1w, ${widths}`).wordsPerAccess).toEqual(expected);
  });
});

describe("pump", () => {
  const clocked = (text: string) => good(`clock: 50 MHz\n${text}`).design;

  test("of a memory is its own", () => {
    const design = clocked(
      memories(
        "name: a, depth: 8, width: 8, ports: 2r1w, pump: 4",
        "name: b, depth: 8, width: 8, ports: 2r1w",
      ),
    );
    expect(design.requests.map(({ pump }) => pump)).toEqual([4, null]);
  });

  test("of a structure goes to those of its memories that can be pumped", () => {
    const cache = "kind: cache, name: l1, size: 16 KiB, ways: 4, line: 64 B, address: 38, pump: 2";
    const pumps = (text: string) =>
      Object.fromEntries(clocked(structures(text)).requests.map(({ name, pump }) => [name, pump]));
    expect(pumps(cache)).toEqual({ "l1.data": null, "l1.tag": null, "l1.replacement": null });
    expect(pumps(`${cache}, data: per-way`)).toMatchObject({ "l1.data": 2, "l1.tag": null });
    expect(pumps(cache.replace("ways: 4", "ways: 1"))).toEqual({ "l1.data": 2, "l1.tag": 2 });
    expect(pumps("kind: register-file, name: x, entries: 32, width: 32, reads: 2, pump: 3")).toEqual({
      x: 3,
    });
  });

  test.each([
    "kind: register-file, name: x, entries: 32, width: 32, reads: 2, read: async",
    "kind: fifo, name: x, depth: 32, width: 32, clocks: 2",
    "kind: cache, name: x, size: 16 KiB, ways: 4, line: 64 B, address: 38",
  ])("of %s does nothing, which is a warning", (entry) => {
    const [warning, ...others] = clocked(structures(`${entry}, pump: 2`)).warnings;
    expect(others).toEqual([]);
    expect(warning).toMatchObject({ subject: "x", message: expect.stringContaining("pump changes nothing") });
  });
});

describe("places in the text", () => {
  test("a request points at its name, a derived one at the name of its structure", () => {
    const text = `${memories("name: log, depth: 8, width: 8, ports: 1r1w")}structures:\n  - { kind: cache, name: l1, size: 4 KiB, ways: 2, line: 64 B, address: 32 }\n`;
    const { design } = good(text);
    const words = design.requests.map(({ name, source }) => [name, text.slice(source!.start, source!.end)]);
    expect(words[0]).toEqual(["log", "log"]);
    expect(words.length).toBeGreaterThan(2);
    expect(words.slice(1).every(([name, word]) => name!.startsWith("l1.") && word === "l1")).toBe(true);
  });

  test("a warning of a structure points at the structure's name", () => {
    // 32 KiB in 2 ways of 16 KiB: more than a page of 4 KiB, so that a virtual index has bits above the page.
    const text = structures(
      "kind: cache, name: l1, size: 32 KiB, ways: 2, line: 64 B, address: 38, index: virtual",
    );
    const { warnings } = good(text).design;
    expect(warnings).toHaveLength(1);
    expect(warnings[0]!.subject).toBe("l1");
    expect(text.slice(warnings[0]!.source!.start, warnings[0]!.source!.end)).toBe("l1");
  });
});

describe("a group of one", () => {
  test("is a warning at the key that names it", () => {
    const text = memories("name: a, depth: 8, width: 8, ports: 1r1w, exclusive: solo");
    const { warnings } = good(text).design;
    expect(warnings).toEqual([
      {
        subject: "a",
        message: 'the exclusive group "solo" has this one member, so it changes nothing',
        source: { start: text.indexOf("solo"), end: text.indexOf("solo") + 4 },
      },
    ]);
  });

  test("is none where the one request has several instances in it", () => {
    const text = memories("name: a, depth: 8, width: 8, ports: 1r1w, instances: 2, exclusive: g");
    expect(good(text).design.warnings).toEqual([]);
  });
});

test("lockstep members may differ in width, and in instances where the copies are as many", () => {
  const text = memories(
    "name: a, depth: 8, width: 8, ports: 1r1w, instances: 8, lockstep: {group: g, members: 4}",
    "name: b, depth: 8, width: 3, ports: 1r1w, instances: 2, lockstep: {group: g, members: 1}",
  );
  expect(good(text).design.requests).toHaveLength(2);
});
