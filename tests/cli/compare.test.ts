import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Ran, ramtailor } from "./run-command.js";

/** Invented. */
const OLD = `design: mast
device: ecp5-25f
memories:
  - { name: log, depth: 2000, width: 18, ports: 1r1w }
  - { name: tags, depth: 512, width: 21, ports: 1r1w, instances: 4 }
`;
const NEW = OLD.replace("2000", "3000").replace("tags", "marks");

let folder: string;
const run = (words: string): Promise<Ran> => ramtailor(words, { cwd: folder });
const save = (name: string, text: string) => writeFileSync(join(folder, name), text);

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "ramtailor-compare-"));
  save("old.yaml", OLD);
  save("new.yaml", NEW);
  // A file's name says nothing of what is in it.
  save("old.plan.yaml", (await run("pack old.yaml --json")).stdout);
  save("new.json", (await run("pack new.yaml --json")).stdout);
});
afterAll(() => rmSync(folder, { recursive: true }));

describe("compare", () => {
  it("gives the same for designs, for saved plans and for a mix of them", async () => {
    const first = await run("compare old.yaml new.yaml");
    expect(first.exit).toBe(1);
    for (const words of ["old.plan.yaml new.json", "old.yaml new.json", "old.plan.yaml new.yaml"]) {
      expect(await run(`compare ${words}`), words).toEqual(first);
    }
  });

  it("tells blocks, waste and the memories that changed", async () => {
    const { stdout, stderr } = await run("compare old.plan.yaml new.json");
    expect(stderr).toBe("");
    expect(stdout).toMatch(/^old {2}mast on ecp5-25f, 2 memories: fits, proven optimal$/m);
    expect(stdout).toMatch(/^EBR blocks +6 +7 +\+1 +\+0$/m);
    expect(stdout).toContain("1 memory changed, 1 memory added and 1 memory removed, 0 as before.");
    expect(stdout).toMatch(/^log +geometry, /m);
    expect(stdout).toMatch(/^marks +added/m);
    expect(stdout).toMatch(/^tags +removed/m);
    expect(stdout).toMatch(/Failed: EBR gained 1 block, 0 allowed\.\n$/);
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it.each([
    ["", 1],
    ["--allow +1", 0],
    ["--allow 1", 0],
    ["--allow EBR=+1", 0],
    ["--allow EBR=+0 --allow +5", 1],
    ["--allow EBR=+0.5", 1],
    ["--allow +1 --allow LUT=+0", 1],
    ["--allow +1 --allow LUT=+1000 --allow registers=+0", 0],
  ])("exits as the allowance says: %s", async (allow, exit) => {
    expect((await run(`compare old.plan.yaml new.json ${allow}`.trim())).exit).toBe(exit);
    const json = await run(`compare old.plan.yaml new.json --json ${allow}`.trim());
    expect(json.exit).toBe(exit);
    expect(JSON.parse(json.stdout)).toMatchObject({ format: "ramtailor-compare/1", passed: exit === 0 });
  });

  it("exits 0 the other way round, and 1 where the new one does not fit", async () => {
    expect((await run("compare new.json old.plan.yaml")).exit).toBe(0);
    save("large.yaml", OLD.replace("instances: 4", "instances: 60"));
    const { exit, stdout } = await run("compare old.plan.yaml large.yaml --allow +100");
    expect(exit).toBe(1);
    expect(stdout).toContain("Failed: the new one does not fit.");
  });

  it("writes Markdown whose tables hold no stray mark", async () => {
    const { stdout } = await run("compare old.plan.yaml new.json --markdown");
    expect(stdout).toMatch(/^### Block RAM: \+1 EBR \(failed\)$/m);
    const rows = stdout.split("\n").filter((line) => line.startsWith("|"));
    const cells = rows.map((row) => row.replace(/\\\|/g, "").split("|").length);
    expect(new Set(cells)).toEqual(new Set([7]));
    expect(stdout).toMatch(/^\| EBR blocks \| 6 \| 7 \| \+1 \| \+0 \|$/m);
  });

  it("packs a design without a device on the other side's, and designs on --device", async () => {
    save("bare.yaml", OLD.replace("device: ecp5-25f\n", ""));
    expect((await run("compare old.plan.yaml bare.yaml")).exit).toBe(0);
    expect((await run("compare bare.yaml bare.yaml")).exit).toBe(2);
    const { stdout } = await run("compare old.yaml old.plan.yaml --device ecp5-45f --json");
    const { old, new: after } = JSON.parse(stdout);
    expect([old.device, after.device]).toEqual(["ecp5-45f", "ecp5-25f"]);
  });

  it("takes a plan of a device that is not known here, and judges it by its sums", async () => {
    const { stdout } = await run("pack old.yaml --json");
    save("other.json", stdout.replace('"ecp5-25f"', '"of-my-own"'));
    expect((await run("compare other.json old.plan.yaml")).exit).toBe(0);
    save("other.json", stdout.replace('"ecp5-25f"', '"of-my-own"').replace('"EBR": 6', '"EBR": 5'));
    const { exit, stderr } = await run("compare other.json old.plan.yaml");
    expect(exit).toBe(2);
    expect(stderr).toMatch(/^other\.json:\d+:3: error: totals: the figures do not add up: /);
  });

  it.each([
    [
      "blocks that are not there",
      '"repeat": 4',
      '"repeat": 3',
      /^bad\.json:\d+:7: error: memory tags: the figures/,
    ],
    [
      "another version",
      "ramtailor-plan/1",
      "ramtailor-plan/7",
      /^bad\.json:2:13: error: format: expected "ramtailor-plan\/1"/,
    ],
    [
      "an unknown key",
      '"status"',
      '"state"',
      /^bad\.json:5:3: error: unknown key "state"; did you mean "status"\?$/m,
    ],
  ])("refuses a saved plan with %s", async (_, from, to, words) => {
    const { stdout } = await run("pack old.yaml --json");
    expect(stdout).toContain(from);
    save("bad.json", stdout.replace(from, to));
    for (const order of ["bad.json old.yaml", "old.yaml bad.json"]) {
      const { exit, stderr } = await run(`compare ${order}`);
      expect(exit).toBe(2);
      expect(stderr).toMatch(words);
    }
    const { errors } = JSON.parse((await run("compare bad.json old.yaml --json")).stdout);
    expect(errors[0]).toMatchObject({ file: "bad.json", column: expect.any(Number) });
  });
});

describe("schema", () => {
  it.each(["design", "device", "plan"])("prints the form of a %s", async (form) => {
    const { exit, stdout } = await run(`schema ${form}`);
    expect(exit).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ title: `ramtailor ${form}`, type: "object" });
    expect((await run(`schema ${form} --json`)).stdout).toBe(stdout);
  });
});
