import { spawn } from "node:child_process";
import { appendFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { PassThrough } from "node:stream";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, it } from "vitest";
import type { Sweep } from "../../src/index.js";
import { ramtailor } from "./run-command.js";

const BIN = fileURLToPath(new URL("../../dist/cli/bin.js", import.meta.url));
const SMALL = fileURLToPath(new URL("fixtures/small.yaml", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "ramtailor-sweep-"));
afterAll(() => rmSync(folder, { recursive: true }));

/** A terminal that remembers nothing. */
function screen() {
  const movement = { cursorTo: () => true, clearLine: () => true, moveCursor: () => true };
  return Object.assign(new PassThrough(), { isTTY: true, columns: 80, ...movement });
}

const VARY = "--vary samples.depth=512,1024 --vary samples.width=9,18";

describe("sweep", () => {
  it("prints a row for each combination and exits 0", async () => {
    const { exit, stdout, stderr } = await ramtailor(
      `sweep small.yaml ${VARY} --pareto blocks,capacity:max --jobs 1`,
    );
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
    expect(stdout).toMatch(/^small on ecp5-25f: 4 combinations$/m);
    expect(stdout).toMatch(/^ +samples {2}samples {2}blocks +bits/m);
    expect(stdout).toMatch(/^\* +1024 +18 +\d+ +\d+%.* optimal$/m);
    expect(stdout).toContain("4 of 4 rows fit.");
    expect(stdout).toContain("estimates before place-and-route");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("writes the same rows as JSON and as CSV", async () => {
    const csv = join(folder, "rows.csv");
    const { exit, stdout } = await ramtailor(`sweep small.yaml ${VARY} --json --csv ${csv} --jobs 1`);
    expect(exit).toBe(0);
    const swept = JSON.parse(stdout) as Sweep;
    expect(swept.format).toBe("ramtailor-sweep/1");
    const [head, ...lines] = readFileSync(csv, "utf8").trimEnd().split("\n");
    expect(head).toBe(
      "samples.depth,samples.width,device,status,fits,blocks.EBR,block_bits,efficiency,capacity,luts,registers,cascade",
    );
    const rows = swept.rows.map(({ values, device, status, fits, usage, efficiency, capacity }) =>
      [
        ...Object.values(values),
        ...[device, status, fits, usage.blocks.EBR, usage.blockBits],
        ...[efficiency, capacity, usage.luts, usage.registers, usage.cascade],
      ].join(","),
    );
    expect(lines).toEqual(rows);
    expect(lines).toHaveLength(4);
  });

  it("exits 1 where no row fits, or none is left", async () => {
    const over = await ramtailor("sweep too-large.yaml --vary samples.width=17,18 --jobs 1");
    expect(over.exit).toBe(1);
    expect(over.stdout).toContain("0 of 2 rows fit.");
    const none = await ramtailor(`sweep small.yaml ${VARY} --jobs 1 --where samples.depth<0`);
    expect(none.exit).toBe(1);
    expect(none.stdout).toContain("No row is left: all 4 left out by --where.");
  });

  it("runs a trace, and tells where it is wrong", async () => {
    const trace = join(folder, "trace.csv");
    writeFileSync(trace, "kind,address\nread,0\nread,0\nfetch,0x40\n");
    const design = join(folder, "cached.yaml");
    writeFileSync(
      design,
      "design: cached\ndevice: ecp5-25f\nstructures:\n  - { kind: cache, name: l1, size: 1 KiB, line: 32 B, address: 32 }\n",
    );
    const words = `sweep ${design} --vary l1.ways=1,2 --trace ${trace} --sees l1=read --jobs 1`;
    const { exit, stdout } = await ramtailor(words);
    expect(exit).toBe(0);
    expect(stdout).toMatch(/ 50%$/m);
    expect(stdout).toContain("1 fetch, 2 reads, 0 writes.");
    writeFileSync(trace, "read,0\nraed,0\n");
    const message = 'expected fetch, read or write, found "raed,0"';
    expect(await ramtailor(words)).toEqual({
      exit: 2,
      stdout: "",
      stderr: `${trace}:2:1: error: ${message}\n`,
    });
    expect(JSON.parse((await ramtailor(`${words} --json`)).stdout)).toEqual({
      format: "ramtailor-error/1",
      errors: [{ file: trace, line: 2, column: 1, code: "trace", message, nearest: null }],
    });
  });

  it("goes on from a file, whose last line may be torn", async () => {
    const journal = join(folder, "resumed.jsonl");
    const words = `sweep small.yaml ${VARY} --json --jobs 1 --resume ${journal}`;
    const whole = JSON.parse((await ramtailor(words)).stdout) as Sweep;
    const lines = readFileSync(journal, "utf8").split("\n");
    expect(lines).toHaveLength(6);
    writeFileSync(journal, `${lines.slice(0, 3).join("\n")}\n${lines[3]!.slice(0, 50)}`);
    const again = JSON.parse((await ramtailor(words)).stdout) as Sweep;
    expect(again.rows).toEqual(whole.rows);
    expect(readFileSync(journal, "utf8").split("\n").sort()).toEqual(lines.sort());
    const rest = JSON.parse((await ramtailor(words)).stdout) as Sweep;
    expect(rest.partsPacked).toBe(0);
    const other = await ramtailor(words.replace("9,18", "9,17"));
    expect(other.exit).toBe(2);
    expect(JSON.parse(other.stdout).errors[0].message).toContain("line 1: is of another sweep");
    appendFileSync(journal, "damaged\n");
    expect(JSON.parse((await ramtailor(words)).stdout).errors[0].message).toContain(
      "line 6: expected an outcome",
    );
  });

  it("shows a bar on a terminal alone", async () => {
    const terminal = screen();
    const shown: string[] = [];
    terminal.on("data", (data) => shown.push(String(data)));
    const { stdout, stderr } = await ramtailor(`sweep small.yaml ${VARY} --jobs 1`, { terminal });
    expect(shown.join("")).toMatch(/ of 4, .* left/);
    expect(stdout + stderr).not.toMatch(/ of 4, .* left/);
  });

  it("prints what is done at an interrupt and exits 130", async () => {
    let interrupt = () => {};
    let released = false;
    const onInterrupt = (act: () => void) => {
      interrupt = act;
      return () => {
        released = true;
      };
    };
    const terminal = screen();
    // As soon as the bar is there, some rows are done.
    terminal.once("data", () => interrupt());
    const running = ramtailor("sweep small.yaml --vary samples.depth=100..900 --jobs 1 --json", {
      onInterrupt,
      terminal,
    });
    const { exit, stdout } = await running;
    const swept = JSON.parse(stdout) as Sweep;
    expect(exit).toBe(130);
    expect(swept.interrupted).toBe(true);
    expect(swept.rows.length).toBeLessThan(swept.total);
    expect(released).toBe(true);
  });

  it("built, loses nothing at Ctrl-C", async () => {
    const journal = join(folder, "interrupted.jsonl");
    const args = [
      "sweep",
      SMALL,
      "--vary",
      "samples.depth=100..4000",
      "--json",
      "--jobs",
      "1",
      "--resume",
      journal,
    ];
    const child = spawn(process.execPath, [BIN, ...args], { stdio: ["ignore", "pipe", "pipe"] });
    let stdout = "";
    child.stdout.on("data", (data) => {
      stdout += data;
    });
    const lines = () =>
      existsSync(journal) ? readFileSync(journal, "utf8").trimEnd().split("\n").length : 0;
    const watch = setInterval(() => {
      if (lines() <= 5) return;
      clearInterval(watch);
      child.kill("SIGINT");
    }, 20);
    const exit = await new Promise((resolve) => child.on("close", resolve));
    clearInterval(watch);
    expect(exit).toBe(130);
    const { rows, total } = JSON.parse(stdout) as Sweep;
    expect(rows.length).toBe(lines() - 1);
    expect(rows.length).toBeGreaterThanOrEqual(5);
    expect(rows.length).toBeLessThan(total);
  });
});

describe("what cannot be swept", () => {
  it.each([
    ["", "nothing to sweep: give --vary PATH=VALUES, or --device with several devices", null],
    [
      "--vary samples.dept=1",
      '--vary: samples.dept: "dept" is no key of samples; did you mean "depth"?',
      "depth",
    ],
    [
      "--vary samples.depth=1 --where sampels.depth<2",
      '--where "sampels.depth<2": "sampels.depth" is no name here; did you mean "samples.depth"?',
      "samples.depth",
    ],
    [
      "--vary samples.depth=1 --sort block",
      '--sort: "block" is no name here; did you mean "blocks"?',
      "blocks",
    ],
    [
      "--vary samples.depth",
      '--vary "samples.depth": expected PATH=VALUE,VALUE, for example l1d.ways=1,2,4',
      null,
    ],
    ["--vary samples.depth=1 --jobs 0", '--jobs: expected a whole number from 1 to 999, found "0"', null],
    [
      "--vary samples.depth=1 --sees l1=reed",
      '--sees: expected a cache and kinds of access, for example l2=fetch,read,write, found "l1=reed"',
      null,
    ],
    [
      "--vary samples.depth=1 --behind l2",
      '--behind: expected a cache and the caches before it, for example l2=l1i,l1d, found "l2"',
      null,
    ],
    [
      "--vary samples.depth=1 --sees l1=read",
      "--sees and --behind are about a trace: give --trace FILE",
      null,
    ],
  ])("%s", async (words, message, nearest) => {
    const { exit, stdout, stderr } = await ramtailor(`sweep small.yaml ${words}`.trim());
    expect({ exit, stdout, stderr }).toEqual({ exit: 2, stdout: "", stderr: `error: ${message}\n` });
    const json = await ramtailor(`sweep small.yaml ${words} --json`.replace("  ", " "));
    expect(JSON.parse(json.stdout).errors[0]).toMatchObject({ message, nearest });
  });
});
