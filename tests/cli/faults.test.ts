import { spawn, spawnSync } from "node:child_process";
import {
  chmodSync,
  closeSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
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

/** The same, in a file of more than a kilobyte. */
const LONG_NAMES = join(folder, "long.yaml");
writeFileSync(LONG_NAMES, `${readFileSync(SMALL, "utf8")}# ${"x".repeat(1100)}\n`);

/** Invented: arrays that nothing reads, so that there is something to ask about each. */
const STORE = join(folder, "store.v");
const arrays = (count: number) =>
  Array.from(
    { length: count },
    (_, i) => `reg [7:0] m${i} [0:${i + 1023}]; always @(posedge clk) m${i}[a] <= d;\n`,
  ).join("");
const PORTS = "input clk, input [14:0] a, input [7:0] d";
writeFileSync(STORE, `module store(${PORTS});\n${arrays(10)}endmodule\n`);

/** Every command, on small inputs; those that write files write `out` in the folder of the tests. */
const COMMANDS: readonly { readonly args: readonly string[]; readonly out?: string }[] = [
  { args: ["--help"] },
  { args: ["pack", SMALL] },
  { args: ["derive", DISH] },
  { args: ["devices"] },
  { args: ["check", SMALL, "--json"] },
  { args: ["sweep", SMALL, "--vary", "a.depth=16..200*2", "--jobs", "1"] },
  { args: ["reshape", SMALL] },
  { args: ["wrap", SMALL, "-o", join(folder, "rows")], out: "rows" },
  { args: ["compare", SMALL, SMALL] },
  { args: ["explain", SMALL, "a"] },
  { args: ["schema", "design"] },
  { args: ["scan", STORE] },
  { args: ["page", SMALL, "-o", join(folder, "page.html")], out: "page.html" },
  { args: ["completion", "bash"] },
];

/** Those of them that print more than a line, and what prints more in another form. */
const LONG: readonly (readonly string[])[] = [
  ...COMMANDS.map(({ args }) => args).filter(([name]) => name !== "page"),
  ["pack", SMALL, "--json"],
  ["derive", DISH, "--json"],
  ["devices", "xczu7ev", "--json"],
  ["compare", SMALL, SMALL, "--markdown"],
  ["scan", STORE, "--json"],
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

  it("before a page's one line is printed, either, and the page is whole", () => {
    const file = join(folder, "unread.html");
    const { status, stderr } = inShell('"$@" | :', ["page", SMALL, "-o", file]);
    expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
    expect(readFileSync(file, "utf8")).toMatch(/<\/html>\s*$/);
  });
});

describe("a full disk", () => {
  it.each(COMMANDS)("under the output of $args is told, with exit code 2", ({ args, out }) => {
    const { status, stderr } = inShell('"$@" > /dev/full', args);
    const message = "error: the output: cannot be written: no space is left on the device\n";
    expect({ status, stderr }).toEqual({ status: 2, stderr: message });
    // The files were another matter, and there was room for them.
    if (out !== undefined) expect(existsSync(join(folder, out))).toBe(true);
  });

  it("under the errors leaves the exit code", () => {
    expect(inShell('"$@" 2> /dev/full', ["pakc"]).status).toBe(2);
  });

  it.each([
    ["reshape small.yaml --best 1 --force --write"],
    ["sweep small.yaml --vary a.depth=16,32 --jobs 1 --csv"],
    ["page small.yaml --force -o"],
    // Nobody's page is in there: it may not be looked for, as a device has no end.
    ["page small.yaml -o"],
    [`scan ${STORE} --force -o`],
  ])("under the file of %s is told", async (words) => {
    expect(await ramtailor(`${words} /dev/full`, { cwd: folder })).toEqual({
      exit: 2,
      stdout: "",
      stderr: "error: /dev/full: cannot be written: no space is left on the device\n",
    });
  });

  /** A limit on the size of files, which the shell sets in blocks of 1024 bytes, takes the place of a small disk. */
  const small = (args: readonly string[]) => inShell('trap "" XFSZ; ulimit -f 1; "$@"', args);

  it.each([
    ["sweep", [SMALL, "--vary", "a.depth=16..60", "--jobs", "1", "--csv"]],
    ["page", [SMALL, "--force", "-o"]],
    ["scan", [STORE, "--force", "-o"]],
    ["reshape", [LONG_NAMES, "--best", "1", "--force", "--write"]],
  ])("leaves an existing file of %s as it was, and nothing beside it", (name, args) => {
    const file = join(folder, "earlier.txt");
    writeFileSync(file, "of an earlier run\n");
    const before = readdirSync(folder);
    const { status, stdout, stderr } = small([name, ...args, file]);
    expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
    expect(stderr).toBe(`error: ${file}: cannot be written: the file would be larger than is allowed\n`);
    expect(readFileSync(file, "utf8")).toBe("of an earlier run\n");
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
    "page small.yaml -o /proc/page.html",
    `scan ${STORE} -o /proc/scanned.yaml`,
    "reshape small.yaml --best 1 --write /none/ramtailor.yaml",
    "sweep small.yaml --vary a.depth=16,32 --jobs 1 --csv /none/rows.csv",
    "sweep small.yaml --vary a.depth=16,32 --jobs 1 --resume /none/journal.jsonl",
    "page small.yaml -o /none/page.html",
    `scan ${STORE} -o /none/scanned.yaml`,
  ];
  it.each(words)("%s", async (line) => {
    const { exit, stdout, stderr } = await ramtailor(line, { cwd: folder });
    expect({ exit, stdout }).toEqual({ exit: 2, stdout: "" });
    expect(stderr).toMatch(/^error: \/\S+: cannot be written: [a-z -]+\n$/);
  });

  /** Root may write anywhere, unless that is taken from it. */
  const BOUND =
    process.geteuid!() === 0 ? "setpriv --bounding-set -dac_override --inh-caps -dac_override" : "";
  it.each([
    ["reshape", [SMALL, "--best", "1", "--force", "--write"]],
    ["sweep", [SMALL, "--vary", "a.depth=16,32", "--jobs", "1", "--csv"]],
    ["sweep", [SMALL, "--vary", "a.depth=16,32", "--jobs", "1", "--resume"]],
    ["wrap", [SMALL, "--force", "-o"]],
    ["page", [SMALL, "--force", "-o"]],
    ["scan", [STORE, "--force", "-o"]],
  ])("%s %j in a folder that is read-only", (name, args) => {
    const shut = mkdtempSync(join(folder, "shut-"));
    const out = join(shut, "out");
    for (const kind of ["new", "of an earlier run"]) {
      if (kind !== "new") {
        chmodSync(shut, 0o755);
        if (name === "wrap") mkdirSync(out);
        writeFileSync(name === "wrap" ? join(out, "kept.txt") : out, "of an earlier run\n");
        chmodSync(name === "wrap" ? join(out, "kept.txt") : out, 0o444);
        chmodSync(out, name === "wrap" ? 0o555 : 0o444);
      }
      chmodSync(shut, 0o555);
      const before = readdirSync(shut, { recursive: true });
      const { status, stdout, stderr } = inShell(`${BOUND} "$@"`, [name, ...args, out]);
      expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
      expect(stderr).toBe(
        `error: ${out}: cannot be written: the folder or the file is not yours to write to\n`,
      );
      expect(readdirSync(shut, { recursive: true })).toEqual(before);
    }
    const kept = name === "wrap" ? join(out, "kept.txt") : out;
    expect(readFileSync(kept, "utf8")).toBe("of an earlier run\n");
    if (name === "wrap") chmodSync(out, 0o755);
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
        { length: 9000 },
        (_, i) => `name: m${i}, depth: ${40 + i}, width: ${9 + (i % 60)}, ports: 1rw`,
      ),
    )}`,
  );
  const SOURCES = join(folder, "hard.v");
  writeFileSync(SOURCES, `module hard(${PORTS});\n${arrays(20_000)}endmodule\n`);
  const commands: readonly (readonly string[])[] = [
    ["pack", HARD],
    ["check", HARD],
    ["derive", HARD],
    ["devices", HARD],
    ["reshape", HARD, "--best", "1", "--write", out],
    ["wrap", HARD, "-o", rtl],
    ["sweep", HARD, "--vary", "m1.depth=100..400", "--jobs", "1", "--csv", out],
    ["compare", HARD, HARD],
    ["explain", HARD, "m1"],
    ["scan", SOURCES, "-o", out],
    ["page", HARD, "-o", out],
    // It takes no time; what holds it up is that nobody reads its output, which is larger than a pipe takes.
    ["schema", "design"],
  ];
  /** A pipe that nobody reads. */
  const STUCK = join(folder, "stuck");
  spawnSync("mkfifo", [STUCK]);
  const stuck = openSync(STUCK, "r+");
  afterAll(() => closeSync(stuck));
  it.each(commands.map((args) => [args]))("in %j ends it at once and leaves no file", async (args) => {
    const before = readdirSync(folder);
    const child = spawn(process.execPath, [BIN, ...args], { stdio: ["ignore", stuck, "pipe"] });
    let stderr = "";
    child.stderr!.on("data", (data) => {
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

  it.each([
    ["wrap small.yaml -o", "rtl", "rtl/ramtailor-wrap.json"],
    ["page small.yaml -o", "whole.html", "whole.html"],
    [`scan ${STORE} -o`, "whole.yaml", "whole.yaml"],
    ["reshape small.yaml --best 1 --write", "best.yaml", "best.yaml"],
    ["sweep small.yaml --vary a.depth=16,32 --jobs 1 --csv", "whole.csv", "whole.csv"],
  ])("while the file of %s is written waits until it is whole", async (words, path, last) => {
    const apart = mkdtempSync(join(folder, "whole-"));
    let listened = false;
    let released = false;
    const ran = ramtailor(`${words} ${join(apart, path)}`, {
      cwd: folder,
      onInterrupt(interrupt) {
        // A sweep listens while it packs, too, and then does not write.
        if (!words.startsWith("sweep") || listened) setImmediate(interrupt);
        listened = true;
        return () => {
          released = true;
        };
      },
    });
    expect((await ran).exit).toBe(130);
    expect(released).toBe(true);
    expect(readFileSync(join(apart, last), "utf8")).toMatch(/\n$/);
    expect(readdirSync(apart)).toEqual([path]);
  });
});
