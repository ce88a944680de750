import {
  appendFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { PageStart } from "../../src/index.js";
import { ramtailor } from "./run-command.js";

/** Invented. `</script` in a comment may not end the page's script. */
const DESIGN = `# A queue </script><!--
design: queue
device: ecp5-25f
memories:
  - { name: words, depth: 520, width: 36, ports: 1r1w }
`;

let cwd: string;
beforeAll(() => {
  cwd = mkdtempSync(join(tmpdir(), "ramtailor-"));
  writeFileSync(join(cwd, "queue.yaml"), DESIGN);
  writeFileSync(join(cwd, "large.yaml"), DESIGN.replace("520", "60000"));
});
afterAll(() => rmSync(cwd, { recursive: true }));

const run = (words: string) => ramtailor(words, { cwd });

function startOf(file: string): PageStart {
  const text = readFileSync(join(cwd, file), "utf8");
  const json = /<script type="application\/json" id="start">(.*?)<\/script>/s.exec(text)![1]!;
  return JSON.parse(json) as PageStart;
}

describe("page", () => {
  it("writes the design and the plan that pack prints into one file", async () => {
    expect(await run("page queue.yaml -o one.html")).toEqual({
      exit: 0,
      stdout: "Written: one.html\n",
      stderr: "",
    });
    const start = startOf("one.html");
    expect(start).toMatchObject({
      format: "ramtailor-page/1",
      file: "queue.yaml",
      text: DESIGN,
      device: null,
    });
    const plan = JSON.parse((await run("pack queue.yaml --json")).stdout);
    expect({ ...start.plan, solver: null }).toEqual({ ...plan, solver: null });
    expect(readFileSync(join(cwd, "one.html"), "utf8")).not.toMatch(/\b(?:src|href)="(?!#)/);
  });

  it("writes over its own page, but over no other file, nor over a page that was changed", async () => {
    expect((await run("page queue.yaml -o two.html")).exit).toBe(0);
    expect((await run("page queue.yaml -o two.html --device ecp5-45f")).exit).toBe(0);
    expect(startOf("two.html")).toMatchObject({ device: "ecp5-45f", plan: { device: "ecp5-45f" } });
    appendFileSync(join(cwd, "two.html"), "<!-- mine -->");
    const refused = await run("page queue.yaml -o two.html");
    expect(refused).toMatchObject({ exit: 2, stdout: "" });
    expect(refused.stderr).toContain("two.html: exists already; --force overwrites it");
    expect((await run("page queue.yaml -o queue.yaml")).exit).toBe(2);
    expect(readFileSync(join(cwd, "queue.yaml"), "utf8")).toBe(DESIGN);
    expect((await run("page queue.yaml -o two.html --force")).exit).toBe(0);
    expect(readdirSync(cwd).filter((name) => name.endsWith(".tmp"))).toEqual([]);
  });

  it("writes the page of a design that does not fit, and says so by its exit code", async () => {
    expect((await run("page large.yaml -o large.html --json")).exit).toBe(1);
    expect(startOf("large.html").plan.status).toBe("over-budget");
  });

  it("writes nothing where the design, the sweep or the folder cannot be used", async () => {
    writeFileSync(join(cwd, "bad.yaml"), DESIGN.replace("520", "many"));
    writeFileSync(join(cwd, "bad.json"), '{"format":"ramtailor-plan/1"}');
    const bad = await run("page bad.yaml -o bad.html");
    expect(bad.exit).toBe(2);
    expect(bad.stderr).toContain("bad.yaml:5:");
    expect((await run("page queue.yaml -o bad.html --sweep bad.json")).stderr).toContain(
      "--sweep bad.json: expected what sweep --json writes",
    );
    expect((await run("page queue.yaml -o bad.html --sweep none.json")).exit).toBe(2);
    expect((await run("page queue.yaml -o nowhere/bad.html")).exit).toBe(2);
    expect(existsSync(join(cwd, "bad.html"))).toBe(false);
  });

  it("carries a device from a file", async () => {
    const file = readFileSync(new URL("../../devices/generic-10k.yaml", import.meta.url), "utf8");
    writeFileSync(join(cwd, "mine.yaml"), file);
    expect((await run("page queue.yaml -o mine.html --device mine.yaml")).exit).toBe(0);
    expect(Object.keys(startOf("mine.html").devices)).toEqual(["mine.yaml"]);
  });
});

describe("pack --map", () => {
  it("draws the blocks below the tables", async () => {
    const plain = await run("pack queue.yaml");
    const mapped = await run("pack queue.yaml --map");
    expect(mapped.exit).toBe(0);
    expect(mapped.stdout.startsWith(plain.stdout)).toBe(true);
    expect(mapped.stdout).toContain("EBR: 2 blocks, all alike");
  });
});
