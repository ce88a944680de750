import { describe, expect, it } from "vitest";
import type { BlockKind, Device } from "../../src/model/index.js";
import { deviceJson, devicesJson, devicesTable, deviceTable } from "../../src/report/index.js";

const HALF: BlockKind = {
  name: "BLK9",
  bits: 9216,
  shapes: {
    single: [{ depth: 1024, width: 9, family: "nine", lanes: [] }],
    "simple-dual": [{ depth: 512, width: 18, family: "nine", lanes: [9] }],
    "true-dual": [],
  },
  mixedWidths: { "simple-dual": true, "true-dual": false },
  fixedSideWidths: [18],
  asynchronousRead: false,
  initialContents: true,
  clocks: 2,
  outputRegister: "optional",
  readDuringWrite: { samePort: ["new", "old"], otherPort: ["undefined"] },
  maxClockMHz: 300,
  pool: "BLK18",
  units: 1,
  freeCascade: [{ shape: { depth: 1024, width: 9 }, blocks: 2 }],
};

/** Invented. */
const DEVICE: Device = {
  name: "invented-9k",
  family: "invented",
  part: "none",
  blocks: [HALF],
  pools: [{ name: "BLK18", blocks: 1000, unitsPerBlock: 2 }],
  lutMemory: {
    name: "small store",
    count: 400,
    shapes: [{ depth: 16, width: 4, arrangement: "simple-dual", luts: 6 }],
  },
  logic: { unit: "LUT4", inputs: 4, count: 5000, multiplexers: [{ inputs: 2, luts: 1, levels: 1 }] },
};
const BARE: Device = {
  ...DEVICE,
  name: "bare",
  lutMemory: null,
  blocks: [{ ...HALF, asynchronousRead: true }],
};

describe("devices", () => {
  it("are listed one a row", () => {
    const text = devicesTable([DEVICE, BARE]);
    expect(text).toMatch(/^invented-9k +none +invented +1,000 BLK18 +5,000 LUT4 +small store$/m);
    expect(text).toMatch(/^bare .* none$/m);
  });

  it("are told in full", () => {
    const text = deviceTable(DEVICE);
    const words = text.replace(/\s+/g, " ");
    expect(words).toContain("9,216 bits; taken from pool BLK18, 1 of 2 parts of one block");
    expect(words).toContain("synchronous read; a clock for each port; contents at start can be set");
    expect(words).toContain("up to 300 MHz; ports may differ in width (simple-dual)");
    expect(words).toContain("width 18: one side has to stay at it");
    expect(words).toContain("2 blocks of 1024x9 join in depth without logic");
    expect(words).toContain("read during write on the same port: new, old; on the other port: undefined");
    expect(text).toMatch(/^simple dual port +512x18 \[9\]$/m);
    expect(text).toMatch(/^true dual port +none$/m);
    expect(words).toContain("400 units of LUT4 can be memory");
    expect(text).toMatch(/^16x4 +1 read, 1 write +6 LUT4$/m);
    for (const line of text.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("without LUT memory say where an asynchronous read goes", () => {
    expect(deviceTable(BARE)).toContain("None: an asynchronous read takes BLK9 or registers.");
  });

  it("are JSON in full and in short", () => {
    expect(JSON.parse(deviceJson(DEVICE))).toEqual({ format: "ramtailor-device/1", ...DEVICE });
    const { devices } = JSON.parse(devicesJson([DEVICE, BARE]));
    expect(devices).toHaveLength(2);
    expect(devices[0].pools).toEqual(DEVICE.pools);
    expect(devices[1].lutMemory).toBeNull();
  });
});
