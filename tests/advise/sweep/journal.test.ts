import { describe, expect, it } from "vitest";
import {
  type Axis,
  findDevice,
  journalHead,
  journalLine,
  readAxis,
  readJournal,
  type SweepOutcome,
  sweepHash,
} from "../../../src/index.js";
import { ECP5, SOURCE } from "./designs.js";

const OUTCOMES: readonly SweepOutcome[] = [
  { index: 3, values: { "l1d.ways": 1 }, device: "ecp5-25f", problem: "boot: nothing" },
  {
    index: 0,
    values: { "l1d.ways": 2 },
    device: "ecp5-25f",
    status: "optimal",
    warnings: ["line end\nin it"],
    usage: {
      blocks: { EBR: 3 },
      available: { EBR: 56 },
      blockBits: 1,
      requestedBits: 1,
      logicBits: 1,
      luts: 1,
      lutsAvailable: 1,
      lutMemory: 1,
      lutMemoryAvailable: null,
      registers: 1,
      cascade: 1,
      proven: true,
    },
  },
];

const task = (axes: readonly Axis[]) => ({ source: SOURCE, axes, devices: [ECP5] });
const hash = sweepHash(task([readAxis("l1d.ways=1,2")]));
const text = journalHead(hash) + OUTCOMES.map(journalLine).join("");

describe("the journal of a sweep", () => {
  it("gives back what was written", () => {
    expect(readJournal(text, hash)).toEqual({ outcomes: OUTCOMES, length: text.length });
    expect(readJournal("", hash)).toEqual({ outcomes: [], length: 0 });
  });

  it("stands being torn at any place", () => {
    for (let end = 0; end < text.length; end++) {
      const read = readJournal(text.slice(0, end), hash);
      if ("problem" in read) throw new Error(`torn at ${end}: ${read.problem}`);
      expect(read.outcomes).toEqual(OUTCOMES.slice(0, read.outcomes.length));
      expect(text.slice(0, read.length)).toMatch(/^$|\n$/);
    }
  });

  it("is refused where another file or another sweep wrote it, or a line is damaged", () => {
    expect(readJournal(text, "other")).toMatchObject({
      line: 1,
      problem: expect.stringContaining("another sweep"),
    });
    expect(readJournal("kind,address\n", hash)).toEqual({
      line: 1,
      problem: "expected the journal of a sweep",
    });
    for (const line of ["{}", "torn", '{"index":1,"values":{}}', "[1]"]) {
      expect(readJournal(`${text}${line}\n`, hash)).toEqual({
        line: 4,
        problem: "expected an outcome of the sweep",
      });
    }
  });

  it("belongs to one design, axes, devices, engine and deadline", () => {
    const axes = [readAxis("l1d.ways=1,2")];
    const hashes = [
      sweepHash(task(axes)),
      sweepHash(task([readAxis("l1d.ways=2,1")])),
      sweepHash({ ...task(axes), source: { ...SOURCE, text: `${SOURCE.text}# more\n` } }),
      sweepHash({ ...task(axes), devices: [findDevice("ecp5-45f")] }),
      sweepHash({ ...task(axes), engine: "highs" }),
      sweepHash({ ...task(axes), deadlineMs: 5 }),
    ];
    expect(new Set(hashes).size).toBe(hashes.length);
    const same = {
      ...task(axes),
      where: ["true"],
      sort: "blocks",
      jobs: 1,
      source: { ...SOURCE, file: "other" },
    };
    expect(sweepHash(same)).toBe(hash);
  });
});
