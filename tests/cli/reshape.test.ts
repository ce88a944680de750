import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Reshaped } from "../../src/advise/index.js";
import { ramtailor } from "./run-command.js";

/** Invented: 8 of 520 words are in a second block, and two thirds of a block are left. */
const DESIGN = `# A queue.
design: queue
device: ecp5-25f
memories:
  - { name: words, depth: 520, width: 36, ports: 1r1w } # as they come
  - { name: marks, depth: 300, width: 20, ports: 1r1w }
`;

let cwd: string;
beforeAll(() => {
  cwd = mkdtempSync(join(tmpdir(), "ramtailor-"));
  writeFileSync(join(cwd, "queue.yaml"), DESIGN);
});
afterAll(() => rmSync(cwd, { recursive: true }));

const run = (words: string) => ramtailor(words, { cwd });
const written = (file: string) => readFileSync(join(cwd, file), "utf8");

describe("reshape", () => {
  it("prints changes with blocks before and after, what they cost and what to write", async () => {
    const { exit, stdout, stderr } = await run("reshape queue.yaml --allow size");
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
    expect(stdout).toMatch(/^queue on ecp5-25f: \d+ changes$/m);
    expect(stdout).toMatch(/^ *\d+ {2}words: 8 of 520 words left out +3>2 +\. +\. +\. +-288 +size$/m);
    expect(stdout).toContain("> words.depth: 512");
    expect(stdout).toContain("Changes in behaviour are left out; --allow behaviour shows them.");
    expect(stdout).toContain("estimates before place-and-route");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("prints JSON", async () => {
    const { exit, stdout } = await run("reshape queue.yaml --json --best 2");
    expect(exit).toBe(0);
    const result = JSON.parse(stdout) as Reshaped;
    expect(result).toMatchObject({
      format: "ramtailor-reshape/1",
      design: "queue",
      device: "ecp5-25f",
      allow: [],
    });
    expect(result.before.blocks).toEqual({ EBR: 3 });
    expect(result.best!.figures.weightedBlocks).toBeLessThan(3);
  });

  it("keeps what it is told to", async () => {
    const { stdout } = await run(
      "reshape queue.yaml --allow size --allow behaviour --keep words --keep marks --json",
    );
    expect((JSON.parse(stdout) as Reshaped).rows).toEqual([]);
  });

  it("exits 1 where the design is over budget, and 0 where the best combination fits", async () => {
    writeFileSync(join(cwd, "over.yaml"), `${DESIGN}available: { EBR: 2 }\n`);
    expect((await run("reshape over.yaml")).exit).toBe(1);
    expect((await run("reshape over.yaml --best 1 --allow size")).exit).toBe(0);
  });

  it("exits 1 and prints what is left where nothing helps", async () => {
    writeFileSync(join(cwd, "none.yaml"), `${DESIGN}available: { EBR: 2 }\n`);
    const { exit, stdout } = await run("reshape none.yaml --keep words --keep marks --best 1");
    expect(exit).toBe(1);
    expect(stdout).toContain("No change that was looked at saves a block");
    expect(stdout).toContain("None: no combination takes less");
    expect(stdout).toContain("does not fit: 1 EBR too many");
  });
});

describe("reshape --write", () => {
  it("writes the best combination, comments and all the rest as they were", async () => {
    const { exit, stdout } = await run(
      "reshape queue.yaml --allow size --best 1 --steps 1 --write best.yaml",
    );
    expect(exit).toBe(0);
    expect(stdout).toContain("\nWritten: best.yaml\n");
    expect(written("best.yaml")).toBe(DESIGN.replace("depth: 520", "depth: 512"));
    expect(written("queue.yaml")).toBe(DESIGN);
    expect(readdirSync(cwd).filter((name) => name.endsWith(".tmp"))).toEqual([]);
  });

  it("writes the row that is named, which then packs as the row says", async () => {
    const { rows } = JSON.parse((await run("reshape queue.yaml --json")).stdout) as Reshaped;
    const row = rows.find(({ kind }) => kind === "grow")!;
    expect((await run(`reshape queue.yaml --apply ${row.number} --write row.yaml`)).exit).toBe(0);
    const { totals } = JSON.parse((await run("pack row.yaml --json")).stdout);
    expect(totals.blocks).toEqual(row.after.blocks);
    expect(written("row.yaml")).not.toBe(DESIGN);
  });

  it("does not overwrite a file but where it is told to", async () => {
    writeFileSync(join(cwd, "there.yaml"), "mine\n");
    const refused = await run("reshape queue.yaml --best 1 --write there.yaml");
    expect(refused.exit).toBe(2);
    expect(refused.stderr).toBe("error: there.yaml: exists already; --force overwrites it\n");
    expect(written("there.yaml")).toBe("mine\n");
    expect((await run("reshape queue.yaml --best 1 --write there.yaml --force")).exit).toBe(0);
    expect(written("there.yaml")).toContain("design: queue");
    expect(readdirSync(cwd).filter((name) => name.endsWith(".tmp"))).toEqual([]);
  });
});

describe("reshape's errors", () => {
  it.each([
    ["--keep wrods.depth", '"wrods" is no memory, structure or key of the design; did you mean "words"?'],
    ["--keep words.dept", '"dept" is no key of words; did you mean "depth"?'],
    ["--allow all", '--allow: expected size or behaviour, found "all"'],
    ["--best 0", '--best: expected a whole number from 1 to 1000, found "0"'],
    ["--steps x", '--steps: expected a whole number from 1 to 50, found "x"'],
    ["--write new.yaml", "--write: give --best N or --apply ROW beside it"],
    ["--apply 1", "--apply: give --write FILE beside it"],
    ["--apply 999 --write new.yaml", "--apply: no row 999; rows go from 1 to"],
    ["--best 1 --write none/new.yaml", "none/new.yaml: cannot be written"],
  ])("%s", async (options, words) => {
    const { exit, stdout, stderr } = await run(`reshape queue.yaml ${options}`);
    expect(exit).toBe(2);
    expect(stdout).toBe("");
    expect(stderr).toContain(words);
    const { errors } = JSON.parse((await run(`reshape queue.yaml ${options} --json`)).stdout);
    expect(errors[0].message).toContain(words);
    expect(errors[0].nearest).toBe(/did you mean "(\w+)"/.exec(words)?.[1] ?? null);
  });
});
