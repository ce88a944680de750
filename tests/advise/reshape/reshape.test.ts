import { beforeAll, describe, expect, it } from "vitest";
import {
  CHANGE_KINDS,
  type Change,
  type Reshaped,
  reshape,
  UnknownPathError,
} from "../../../src/advise/index.js";
import { type Dimension, dimensionsOf, valueAt } from "../../../src/advise/reshape/dimension.js";
import { takesNoMore } from "../../../src/advise/reshape/kinds/grow.js";
import { PROPOSERS } from "../../../src/advise/reshape/kinds/index.js";
import { entriesOf, type Subject } from "../../../src/advise/reshape/subject.js";
import { packerOf } from "../../../src/advise/reshape/trial.js";
import { type DesignEdit, editDesign, findDevice } from "../../../src/input/index.js";
import { type Plan, requestBits } from "../../../src/model/index.js";
import { pack } from "../../../src/plan/pack.js";
import { CASES, type Case, designOf } from "./designs.js";

const ALL = { allow: ["size", "behaviour"] } as const;

function capacity(text: string): number {
  return designOf(text).design.requests.reduce((sum, each) => sum + requestBits(each) * each.instances, 0);
}

/** A packing that shares nothing with the one under test: no memo, no cache. */
function packed(text: string, { device }: Case): Promise<Plan> {
  return pack(designOf(text).design, device);
}

function editedText(text: string, { edits }: Pick<Change, "edits">): string {
  const edited = editDesign(text, edits);
  if (!edited.ok) throw new Error(edited.problem);
  return edited.text;
}

/** What proposers are given for a case, everything allowed. */
async function subjectOf({ text, device }: Case): Promise<Subject> {
  const read = designOf(text);
  const packer = packerOf(read.source, device, {});
  const trial = await packer([]);
  if (trial.status !== "packed") throw new Error("the design cannot be packed");
  const { plan, figures } = trial;
  const { file, design } = read;
  return { file, design, device, plan, figures, entries: entriesOf(read, plan), packer, open: () => true };
}

/** Steps of a dimension that make just these edits; null where none do. */
function stepsTo(dimension: Dimension, edits: readonly DesignEdit[]): number | null {
  const wanted = JSON.stringify(edits);
  for (let steps = 1; steps < 5000; steps += 1) {
    const value = valueAt(dimension, steps);
    if (value === null) return null;
    if (JSON.stringify(dimension.edits(value)) === wanted) return steps;
  }
  return null;
}

describe.each(CASES)("$name", (each) => {
  let result: Reshaped;
  let before: Plan;
  beforeAll(async () => {
    result = await reshape(designOf(each.text), each.device, ALL);
    before = await packed(each.text, each);
  });

  it("claims in every row the difference of two packings", async () => {
    expect(result.rows.length).toBeGreaterThan(5);
    expect(result.before.blocks).toEqual(before.totals.blocks);
    for (const row of result.rows) {
      const text = editedText(each.text, row);
      const after = await packed(text, each);
      expect(row.after.blocks, row.title).toEqual(after.totals.blocks);
      for (const { name } of each.device.pools) {
        const saved = (before.totals.blocks[name] ?? 0) - (after.totals.blocks[name] ?? 0);
        expect(row.saved[name] ?? 0, row.title).toBe(saved);
      }
      expect(row.savedWeight, row.title).toBeCloseTo(before.objective.value - after.objective.value, 9);
      expect(row.moreLuts, row.title).toBe(after.totals.luts - before.totals.luts + row.extraLuts);
      expect(row.moreRegisters, row.title).toBe(after.totals.registers - before.totals.registers);
      expect(row.moreBits, row.title).toBe(capacity(text) - capacity(each.text));
      expect(row.after.cascade, row.title).toBe(Math.max(...after.memories.map(({ cascade }) => cascade)));
      expect(row.savedWeight > 0 || row.kind === "grow" || row.kind === "pool", row.title).toBe(true);
    }
  });

  it("gives growth for nothing, and one step more would cost", async () => {
    const subject = await subjectOf(each);
    const dimensions = subject.entries.flatMap((entry) => dimensionsOf(entry, subject));
    const grown = result.rows.filter(({ kind }) => kind === "grow");
    expect(grown.length).toBeGreaterThan(0);
    for (const row of grown) {
      expect(row.moreBits, row.title).toBeGreaterThan(0);
      expect(row.saved, row.title).toEqual({});
      expect(row.moreLuts, row.title).toBeLessThanOrEqual(0);
      expect(row.moreRegisters, row.title).toBeLessThanOrEqual(0);
      const steps = (dimension: Dimension) => stepsTo(dimension, row.edits);
      const dimension = dimensions.find((found) => steps(found) !== null)!;
      const further = valueAt(dimension, steps(dimension)! + 1);
      const trial = further === null ? null : await subject.packer(dimension.edits(further));
      const free = trial?.status === "packed" && takesNoMore(trial.figures, subject.figures);
      expect(free, row.title).toBe(false);
    }
  });

  it("is in order: most blocks saved, then least logic", () => {
    const order = result.rows.map((row) => row.savedWeight);
    expect(order).toEqual(order.toSorted((a, b) => b - a));
    expect(result.rows.map(({ number }) => number)).toEqual(result.rows.map((_, i) => i + 1));
  });

  it("proposes no change as the same that alters capacity", async () => {
    const subject = await subjectOf(each);
    let same = 0;
    for (const kind of CHANGE_KINDS.filter((name) => name !== "grow" && name !== "trim")) {
      for (const change of await PROPOSERS[kind](subject)) {
        expect(change.kind).toBe(kind);
        if (change.effect !== "same") continue;
        const edited = editDesign(each.text, change.edits);
        if (!edited.ok) throw new Error(`${change.title}: ${edited.problem}`);
        same += 1;
        expect(capacity(edited.text), change.title).toBe(capacity(each.text));
      }
    }
    expect(same).toBeGreaterThan(2);
  });
});

describe("a search without effects allowed", () => {
  it("leaves out what is not allowed", async () => {
    const each = CASES[1]!;
    const result = await reshape(designOf(each.text), each.device, ALL);
    const plain = await reshape(designOf(each.text), each.device);
    expect(plain.rows.every(({ effect, kind }) => effect === "same" || kind === "grow")).toBe(true);
    const titles = (rows: Reshaped["rows"]) => rows.map(({ title }) => title).sort();
    const expected = result.rows.filter(({ effect, kind }) => effect === "same" || kind === "grow");
    expect(titles(plain.rows)).toEqual(titles(expected));
  });
});

describe("what is kept", () => {
  const { text, device } = CASES[0]!;

  it("no change touches", async () => {
    const all = await reshape(designOf(text), device, ALL);
    expect(
      all.rows.some(({ edits }) => edits.some((edit) => "path" in edit && edit.path === "odd.width")),
    ).toBe(true);
    const kept = await reshape(designOf(text), device, {
      ...ALL,
      keep: ["odd.width", "table", "left.ports"],
    });
    const paths = kept.rows.flatMap(({ edits }) =>
      edits.flatMap((edit) => ("path" in edit ? [edit.path] : [])),
    );
    expect(paths.filter((path) => /^(?:odd\.width|table\..*|left\.ports)$/.test(path))).toEqual([]);
    expect(paths).toEqual(expect.arrayContaining(["left.exclusive", "two.in"]));
  });

  it("has to be there", async () => {
    const keep = (path: string) => reshape(designOf(text), device, { keep: [path] });
    await expect(keep("tabel.width")).rejects.toThrow(UnknownPathError);
    await expect(keep("tabel.width")).rejects.toThrow('did you mean "table"?');
    await expect(keep("table.widht")).rejects.toThrow('did you mean "width"?');
  });
});

describe("what cannot be packed is told", () => {
  it("with the reason, where the design fits as it stands and the change does not", async () => {
    // 6,144 words fill 12 blocks of 512; 16 banks of 384 words take a block each.
    const text = `design: full
device: ecp5-25f
structures:
  - { kind: scratchpad, name: data, size: 27 KiB, width: 36, ports: 1r1w }
available: { EBR: 12 }
`;
    const result = await reshape(designOf(text), findDevice("ecp5-25f"));
    expect(result.failed.map(({ reason }) => reason)).toContainEqual(
      expect.stringMatching(/^over budget: \d+ EBR too many$/),
    );
    expect(result.rows.filter(({ after }) => after.status === "over-budget")).toEqual([]);
  });

  it("with the memory and the device, where it has no home", async () => {
    const text = `design: homeless
memories:
  - { name: a, depth: 300, width: 4, ports: 2rw }
`;
    const result = await reshape(designOf(text), findDevice("ecp5-25f"));
    expect(result.failed).toContainEqual(
      expect.objectContaining({
        edits: [{ path: "a.in", value: "LUT" }],
        reason: expect.stringContaining("a: nothing on ecp5-25f (in: LUT) serves 300 x 4"),
      }),
    );
  });

  it("a design over budget shows which changes make it fit", async () => {
    const text = `design: over
available: { EBR: 1 }
memories:
  - { name: a, depth: 512, width: 37, ports: 1r1w }
`;
    const result = await reshape(designOf(text), findDevice("ecp5-25f"), ALL);
    expect(result.before.status).toBe("over-budget");
    const row = result.rows.find(({ title }) => title.startsWith("a: 1 of 37 bits a word"));
    expect(row?.after.status).toBe("optimal");
  });
});
