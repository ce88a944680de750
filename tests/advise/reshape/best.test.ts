import { describe, expect, it } from "vitest";
import { CHANGE_KINDS, type Change, reshape } from "../../../src/advise/index.js";
import { PROPOSERS } from "../../../src/advise/reshape/kinds/index.js";
import { entriesOf } from "../../../src/advise/reshape/subject.js";
import { packerOf } from "../../../src/advise/reshape/trial.js";
import { editDesign, findDevice, readDesign } from "../../../src/input/index.js";
import { pack } from "../../../src/plan/pack.js";
import { designOf } from "./designs.js";

/** Blocks by weight, then LUTs and registers, of a text packed by itself; null where it cannot be. */
async function cost(text: string, extraLuts: number): Promise<readonly [number, number] | null> {
  const read = readDesign({ file: "test.yaml", text });
  if (!read.ok) return null;
  const plan = await pack(read.design, findDevice("generic-10k")).catch(() => null);
  if (plan === null) return null;
  return [plan.objective.value, plan.totals.luts + plan.totals.registers + extraLuts];
}

/** Whether two changes touch different places, none inside another. */
function apart(a: Change, b: Change): boolean {
  const paths = (change: Change) => change.edits.flatMap((edit) => ("path" in edit ? [`${edit.path}.`] : []));
  return paths(a).every((x) => paths(b).every((y) => !x.startsWith(y) && !y.startsWith(x)));
}

/** Every set of changes that touch different places. */
function combinations(changes: readonly Change[]): Change[][] {
  const sets: Change[][] = [[]];
  for (const change of changes) {
    sets.push(
      ...sets.filter((set) => set.every((other) => apart(other, change))).map((set) => [...set, change]),
    );
  }
  return sets;
}

describe("the best combination", () => {
  it.each([
    [
      "memories that may share, stack and join",
      ["behaviour"] as const,
      `design: four
memories:
  - { name: a, depth: 200, width: 16, ports: 1r1w }
  - { name: b, depth: 200, width: 18, ports: 1r1w }
  - { name: c, depth: 300, width: 12, ports: 1rw }
  - { name: d, depth: 200, width: 8, ports: 2r1w }
`,
    ],
    [
      "a trim and a pin",
      ["size"] as const,
      `design: mixed
memories:
  - { name: a, depth: 520, width: 21, ports: 1r1w }
  - { name: b, depth: 64, width: 16, ports: 2r2w, realisation: exclusive-or }
structures:
  - { kind: scratchpad, name: s, size: 1 KiB, width: 32, banks: 2, ports: 1r1w }
`,
    ],
  ])("of %s is what enumeration finds, with a beam wide enough", async (_, allow, text) => {
    const read = designOf(text);
    const device = findDevice("generic-10k");
    const packer = packerOf(read.source, device, {});
    const trial = await packer([]);
    if (trial.status !== "packed") throw new Error("the design cannot be packed");
    const { plan, figures } = trial;
    const allowed = new Set<string>(["same", ...allow]);
    const { file, design } = read;
    const subject = {
      file,
      design,
      device,
      plan,
      figures,
      entries: entriesOf(read, plan),
      packer,
      open: (effect: string) => allowed.has(effect),
    };
    const changes: Change[] = [];
    for (const kind of CHANGE_KINDS.filter((each) => each !== "grow")) {
      changes.push(...(await PROPOSERS[kind](subject)).filter(({ effect }) => allowed.has(effect)));
    }
    const sets = combinations(changes);
    expect(sets.length).toBeGreaterThan(20);
    let least = (await cost(text, 0))!;
    for (const set of sets) {
      const edited = editDesign(
        text,
        set.flatMap(({ edits }) => edits),
      );
      if (!edited.ok) throw new Error(edited.problem);
      const found = await cost(
        edited.text,
        set.reduce((sum, { extraLuts }) => sum + extraLuts, 0),
      );
      if (found !== null && (found[0] < least[0] || (found[0] === least[0] && found[1] < least[1])))
        least = found;
    }
    const { best } = await reshape(read, device, { allow, best: { beam: sets.length, steps: 10 } });
    if (best === null) throw new Error("no best combination");
    expect([
      best.figures.weightedBlocks,
      best.figures.luts + best.figures.registers + best.extraLuts,
    ]).toEqual(least);
    expect(least[0]).toBeLessThan(figures.weightedBlocks);
  });

  it("is a sequence whose every step is a packing of the design with the steps before it", async () => {
    const text = `design: steps
memories:
  - { name: a, depth: 520, width: 20, ports: 1r1w } # a queue
  - { name: b, depth: 512, width: 21, ports: 1r1w }
`;
    const device = findDevice("generic-10k");
    const { best } = await reshape(designOf(text), device, { allow: ["size"], best: { beam: 2, steps: 4 } });
    expect(best!.steps.length).toBe(2);
    let here = text;
    for (const { change, figures } of best!.steps) {
      const edited = editDesign(here, change.edits);
      if (!edited.ok) throw new Error(edited.problem);
      here = edited.text;
      const plan = await pack(designOf(here).design, device);
      expect(figures.blocks).toEqual(plan.totals.blocks);
    }
    expect(editDesign(text, best!.edits)).toEqual({ ok: true, text: here });
    expect(here).toContain("# a queue");
  });

  it("is no longer than asked for, and empty where nothing helps", async () => {
    const device = findDevice("generic-10k");
    const full = "design: full\nmemories:\n  - { name: a, depth: 512, width: 20, ports: 1r1w }\n";
    const none = await reshape(designOf(full), device, { best: { beam: 2, steps: 4 } });
    expect(none.best).toMatchObject({ steps: [], edits: [], figures: none.before });
    const two = `${full}  - { name: b, depth: 512, width: 21, ports: 1r1w }\n  - { name: c, depth: 513, width: 20, ports: 1r1w }\n`;
    const one = await reshape(designOf(two), device, { allow: ["size"], best: { beam: 2, steps: 1 } });
    expect(one.best!.steps).toHaveLength(1);
  });
});
