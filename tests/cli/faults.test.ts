import { spawn, spawnSync } from "node:child_process";
import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, expect, it } from "vitest";
import { writeWhole } from "../../src/cli/write-file.js";
import { writeFolder } from "../../src/cli/write-files.js";
import { memories } from "../input/heads.js";
import { ramtailor } from "./run-command.js";

/** The built program where what surrounds it fails: disks, folders, readers, the user. */

const BIN = fileURLToPath(new URL("../../dist/cli/bin.js", import.meta.url));
const DISH = fileURLToPath(new URL("../../designs/dish-controller.yaml", import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "faults-"));
afterAll(() => {
  for (const name of readdirSync(folder)) chmodSync(join(folder, name), 0o755);
  rmSync(folder, { recursive: true });
});

/** Invented: what grows for nothing, so that `reshape` finds a row. */
const SMALL = join(folder, "small.yaml");
writeFileSync(
  SMALL,
  `device: ecp5-25f\n${memories("name: a, depth: 1030, width: 16, ports: 1r1w, in: [EBR]")}`,
);

/** The commands that print more than a line or two. */
const LONG: readonly (readonly string[])[] = [
  ["--help"],
  ["pack", SMALL],
  ["pack", SMALL, "--json"],
  ["derive", DISH],
  ["derive", DISH, "--json"],
  ["devices"],
  ["devices", "--json"],
  ["devices", "xczu7ev", "--json"],
  ["check", SMALL, "--json"],
  ["sweep", SMALL, "--vary", "a.depth=16..200*2", "--jobs", "1"],
  ["sweep", SMALL, "--vary", "a.depth=16..200*2", "--jobs", "1", "--json"],
  ["reshape", SMALL, "--json"],
];

const inShell = (script: string, args: readonly string[]) =>
  spawnSync("bash", ["-c", `set -o pipefail; ${script}`, "bash", process.execPath, BIN, ...args], {
    encoding: "utf8",
  });

describe("a reader that has seen enough", () => {
  it.each(LONG.map((args) => [args]))("of %j is no error", (args) => {
    const { status, stdout, stderr } = inShell('"$@" | head -1', args);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    expect(stdout.split("\n")).toHaveLength(2);
  });
});

describe("a full disk", () => {
  it.each(
    [
      ["derive", DISH],
      ["devices", "--json"],
      ["pack", SMALL],
    ].map((args) => [args]),
  )("under the output of %j is told, with exit code 2", (args) => {
    const { status, stderr } = inShell('"$@" > /dev/full', args);
    const message = "error: the output: cannot be written: no space is left on the device\n";
    expect({ status, stderr }).toEqual({ status: 2, stderr: message });
  });

  it("under the errors leaves the exit code", () => {
    expect(inShell('"$@" 2> /dev/full', ["pakc"]).status).toBe(2);
  });

  it.each([
    ["reshape small.yaml --best 1 --force --write"],
    ["sweep small.yaml --vary a.depth=16,32 --jobs 1 --csv"],
  ])("under the file of %s is told", async (words) => {
    expect(await ramtailor(`${words} /dev/full`, { cwd: folder })).toEqual({
      exit: 2,
      stdout: "",
      stderr: "error: /dev/full: cannot be written: no space is left on the device\n",
    });
  });

  /** A limit on the size of files, which the shell sets in blocks of 1024 bytes, takes the place of a small disk. */
  const small = (args: readonly string[]) => inShell('trap "" XFSZ; ulimit -f 1; "$@"', args);

  it("leaves an existing CSV file as it was, and nothing beside it", () => {
    const csv = join(folder, "rows.csv");
    writeFileSync(csv, "of an earlier run\n");
    const args = ["sweep", SMALL, "--vary", "a.depth=16..60", "--jobs", "1", "--csv", csv];
    const before = readdirSync(folder);
    const { status, stdout, stderr } = small(args);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toBe(`error: ${csv}: cannot be written: the file would be larger than is allowed\n`);
    expect(readFileSync(csv, "utf8")).toBe("of an earlier run\n");
    expect(readdirSync(folder)).toEqual(before);
  });

  it("keeps what a journal holds, and the next run goes on from there", async () => {
    const journal = join(folder, "journal.jsonl");
    const args = ["sweep", SMALL, "--vary", "a.depth=16..40", "--jobs", "1", "--json", "--resume", journal];
    const { status, stdout } = small(args);
    expect(status).toBe(2);
    expect(JSON.parse(stdout).errors[0].message).toBe(
      `${journal}: cannot be written: the file would be larger than is allowed`,
    );
    const kept = readFileSync(journal, "utf8").split("\n").length - 2;
    expect(kept).toBeGreaterThan(0);
    const { exit, stdout: rest } = await ramtailor(args.join(" "));
    expect(exit).toBe(0);
    expect(JSON.parse(rest).rows).toHaveLength(25);
    expect(JSON.parse(rest).partsPacked).toBe(25 - kept);
  });

  it("leaves the wrappers of an earlier run as they were, and nothing beside them", async () => {
    const rtl = join(folder, "rtl");
    expect((await ramtailor(`wrap small.yaml -o ${rtl}`, { cwd: folder })).exit).toBe(0);
    const texts = () => readdirSync(rtl).map((name) => readFileSync(join(rtl, name), "utf8"));
    const before = [texts(), readdirSync(folder)];
    const { status, stderr } = small(["wrap", SMALL, "-o", rtl, "--bench", "--device", "ecp5-85f"]);
    expect({ status, stderr }).toEqual({
      status: 2,
      stderr: `error: ${rtl}: cannot be written: the file would be larger than is allowed\n`,
    });
    expect([texts(), readdirSync(folder)]).toEqual(before);
  });
});

describe("a place that cannot be written", () => {
  /** What no one can write to, not even root: below /proc, and below what is no folder. */
  const words = [
    "reshape small.yaml --best 1 --write /proc/ramtailor.yaml",
    "sweep small.yaml --vary a.depth=16,32 --jobs 1 --csv /proc/rows.csv",
    "sweep small.yaml --vary a.depth=16,32 --jobs 1 --resume /proc/journal.jsonl",
    "wrap small.yaml -o /dev/null/rtl",
  ];
  it.each(words)("%s", async (line) => {
    const { exit, stdout, stderr } = await ramtailor(line, { cwd: folder });
    expect({ exit, stdout }).toEqual({ exit: 2, stdout: "" });
    expect(stderr).toMatch(/^error: \/\S+: cannot be written: [a-z -]+\n$/);
  });

  it("a folder that is read-only", () => {
    const closed = join(folder, "closed");
    mkdirSync(closed);
    chmodSync(folder, 0o755);
    chmodSync(closed, 0o555);
    const user = process.geteuid!();
    // Nobody, because root may write anywhere.
    if (user === 0) process.seteuid!(65534);
    try {
      const path = join(closed, "new.yaml");
      const message = "new.yaml: cannot be written: the folder or the file is not yours to write to";
      expect(() => writeWhole(path, "text", true, "new.yaml")).toThrow(message);
      expect(() => writeFolder(join(closed, "rtl"), [], "manifest.json", false)).toThrow(
        "not yours to write to",
      );
    } finally {
      if (user === 0) process.seteuid!(user);
    }
    expect(readdirSync(closed)).toEqual([]);
  });

  it("a text of the user is no journal, and stays", async () => {
    const notes = join(folder, "notes.txt");
    writeFileSync(notes, "no line end");
    const line = `sweep small.yaml --vary a.depth=16,32 --jobs 1 --resume ${notes}`;
    const { exit, stderr } = await ramtailor(line, { cwd: folder });
    expect(exit).toBe(2);
    expect(stderr).toContain("line 1: expected the journal of a sweep");
    expect(readFileSync(notes, "utf8")).toBe("no line end");
    expect((await ramtailor(line.replace(notes, "/dev/full"), { cwd: folder })).exit).toBe(2);
  });
});

describe("a file that is replaced", () => {
  it("keeps its mode, and a symbolic link to it stays one", () => {
    const file = join(folder, "kept.txt");
    const link = join(folder, "link.txt");
    writeFileSync(file, "old");
    chmodSync(file, 0o640);
    symlinkSync(file, link);
    writeWhole(link, "new", true, link);
    expect(readFileSync(file, "utf8")).toBe("new");
    expect(statSync(file).mode & 0o777).toBe(0o640);
    expect(readdirSync(folder).filter((name) => name.endsWith(".tmp"))).toEqual([]);
    expect(() => writeWhole(link, "newer", false, link)).toThrow("exists already");
    expect(readFileSync(file, "utf8")).toBe("new");
  });

  it("is not a device, which is written to as it stands", () => {
    writeWhole("/dev/null", "text", true, "/dev/null");
    expect(statSync("/dev/null").isCharacterDevice()).toBe(true);
  });
});

describe("Ctrl-C", () => {
  const out = join(folder, "new.yaml");
  const rtl = join(folder, "interrupted");
  const HARD = join(folder, "hard.yaml");
  // Thousands of memories, each unlike the others: reading, listing and packing them all take seconds.
  writeFileSync(
    HARD,
    `device: xczu7ev\n${memories(
      ...Array.from(
        { length: 3000 },
        (_, i) => `name: m${i}, depth: ${40 + i}, width: ${9 + (i % 60)}, ports: 1rw`,
      ),
    )}`,
  );
  const commands: readonly (readonly string[])[] = [
    ["pack", HARD],
    ["check", HARD],
    ["derive", HARD],
    ["devices", HARD],
    ["reshape", HARD, "--best", "1", "--write", out],
    ["wrap", HARD, "-o", rtl],
    ["sweep", HARD, "--vary", "m1.depth=100..400", "--jobs", "1", "--csv", out],
  ];
  it.each(commands.map((args) => [args]))("in %j ends it at once and leaves no file", async (args) => {
    const before = readdirSync(folder);
    const child = spawn(process.execPath, [BIN, ...args], { stdio: ["ignore", "pipe", "pipe"] });
    let stderr = "";
    child.stderr.on("data", (data) => {
      stderr += data;
    });
    const timer = setTimeout(() => child.kill("SIGINT"), 400);
    const [code, signal] = await new Promise<[number | null, string | null]>((resolve) =>
      child.on("close", (...end) => resolve(end)),
    );
    clearTimeout(timer);
    // A shell tells the signal as 130.
    expect(code ?? (signal === "SIGINT" ? 130 : signal), stderr).toBe(130);
    expect(stderr).toBe("");
    expect(readdirSync(folder)).toEqual(before);
    expect(existsSync(out)).toBe(false);
  });

  it("while files are written waits until they are whole", async () => {
    let act = () => {};
    let released = false;
    const ran = ramtailor(`wrap small.yaml -o ${join(folder, "whole")}`, {
      cwd: folder,
      onInterrupt(interrupt) {
        act = interrupt;
        setImmediate(() => act());
        return () => {
          released = true;
        };
      },
    });
    expect((await ran).exit).toBe(130);
    expect(released).toBe(true);
    expect(readdirSync(join(folder, "whole"))).toContain("ramtailor-wrap.json");
  });
});
