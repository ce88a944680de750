import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { readDesign } from "../../src/index.js";
import { ramtailor } from "./run-command.js";

const SCAN = "scan rtl/ground.v rtl/store.v -I rtl/include --top ground";
const folder = mkdtempSync(join(tmpdir(), "scan-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("scan", () => {
  it("writes a design file that pack reads, with questions where they belong", async () => {
    const { exit, stdout, stderr } = await ramtailor(SCAN);
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
    expect(stdout).toMatchInlineSnapshot(`
      "# Memories under ground, read from rtl/ground.v and 1 more by \`ramtailor scan\`.
      # Widths and depths are those of the sources; ports, lanes and read style are how the arrays are used.
      # What a read shows of a word in the cycle of its write is not taken over: say it with collision.
      # 1 question. What is assumed until they are answered stands in the file; answer each and strike it out.
      #   QUESTION 1, rtl/store.v:7, store_words: the register q also takes other values, so the read counts as
      #     asynchronous: may a register of the memory's own hold the word first (read: sync)?
      design: ground
      # device: (add one, or give it to pack with --device)
      memories:
        # rtl/store.v:3, ground.antenna[0].spectrum.words and others
        # read asynchronously at rtl/store.v:7
        # QUESTION 1, rtl/store.v:7: the register q also takes other values, so the read counts as asynchronous: may
        #   a register of the memory's own hold the word first (read: sync)?
        - { name: store_words, depth: 1024, width: 20, ports: 1rw, instances: 3, read: async }

      # Left out: arrays that will be registers (at most 512 bits, or every index a constant).
      #  - { name: store_few, depth: 4, width: 8, ports: 1rw, instances: 3, read: async } # rtl/store.v:4
      "
    `);
    const read = readDesign({ file: "scanned.yaml", text: stdout });
    if (!read.ok) throw new Error(JSON.stringify(read.diagnostics));
    expect(read.design.name).toBe("ground");
    expect(read.design.requests).toHaveLength(1);
    expect(read.design.requests[0]).toMatchObject({
      name: "store_words",
      depth: 1024,
      width: 20,
      instances: 3,
      read: "async",
    });
  });

  it("writes JSON with the same questions as data", async () => {
    const { exit, stdout } = await ramtailor(`${SCAN} --json`);
    expect(exit).toBe(0);
    const json = JSON.parse(stdout);
    expect(json).toMatchObject({
      format: "ramtailor-scan/1",
      top: "ground",
      files: ["rtl/ground.v", "rtl/store.v"],
      memories: [{ name: "store_words", file: "rtl/store.v", line: 3, column: 19, questions: [1] }],
      registers: [{ name: "store_few", depth: 4, width: 8, instances: 3 }],
      questions: [{ number: 1, code: "read-style", file: "rtl/store.v", line: 7, memory: "store_words" }],
      unread: [],
    });
  });

  it("takes macros, and arrays that are small are up to the option", async () => {
    const { stdout } = await ramtailor(`${SCAN} -D WITH_LOG -D LOG_WIDTH=12 --registers-below 0`);
    const read = readDesign({ file: "scanned.yaml", text: stdout });
    if (!read.ok) throw new Error(JSON.stringify(read.diagnostics));
    const sizes = read.design.requests.map(({ depth, width, instances }) => [depth, width, instances]);
    expect(sizes).toEqual([
      [1024, 20, 3],
      [4, 8, 4],
      [2048, 12, 1],
    ]);
    expect(read.design.small.registerBits).toBe(0);
  });

  it("writes a file, all or nothing, and overwrites none without --force", async () => {
    const path = join(folder, "ground.yaml");
    const first = await ramtailor(`${SCAN} -o ${path}`);
    expect(first).toMatchObject({ exit: 0, stderr: "" });
    expect(first.stdout).toBe(`${path}: 1 memory, 1 array left out, 1 question at its head\n`);
    const text = readFileSync(path, "utf8");
    expect(text).toBe((await ramtailor(SCAN)).stdout);
    writeFileSync(path, "mine");
    const again = await ramtailor(`${SCAN} -o ${path}`);
    expect(again).toMatchObject({
      exit: 2,
      stdout: "",
      stderr: `error: ${path}: exists already; --force overwrites it\n`,
    });
    expect(readFileSync(path, "utf8")).toBe("mine");
    expect((await ramtailor(`${SCAN} -o ${path} --force`)).exit).toBe(0);
    expect(readFileSync(path, "utf8")).toBe(text);
    expect(readdirSync(folder)).toEqual(["ground.yaml"]);
  });

  it("writes figures in words as all commands do", async () => {
    const source = join(folder, "many.v");
    const arrays = Array.from({ length: 1100 }, (_, i) => {
      return `reg [7:0] m${i} [0:1023]; always @(posedge clk) m${i}[a] <= d;`;
    });
    writeFileSync(
      source,
      `module many(input clk, input [9:0] a, input [7:0] d);\n${arrays.join("\n")}\nendmodule\n`,
    );
    const path = join(folder, "many.yaml");
    const { stdout } = await ramtailor(`scan ${source} -o ${path}`);
    expect(stdout).toBe(`${path}: 1,100 memories, 0 arrays left out, 1,100 questions at its head\n`);
    expect(readFileSync(path, "utf8")).toContain("# 1,100 questions. What is assumed");
    for (const file of [source, path]) rmSync(file);
  });

  it("finds the top where only one module is in no other", async () => {
    const { stdout } = await ramtailor("scan rtl/store.v rtl/ground.v -I rtl/include --json");
    expect(JSON.parse(stdout)).toMatchObject({ top: "ground" });
  });

  it("tells on stderr, with the line, what it did not read, and goes on", async () => {
    const path = join(folder, "bad.v");
    writeFileSync(path, "module bad (input c);\n  wire [7:0 x;\nendmodule\n");
    const { exit, stdout, stderr } = await ramtailor(`${SCAN} ${path}`);
    expect(exit).toBe(0);
    expect(stderr).toContain(`${path}:2:`);
    expect(stderr).toContain("    wire [7:0 x;\n");
    expect(stdout).toContain("# Not read in full:");
    expect(stdout).toContain("name: store_words");
  });

  it("tells of an include that is in no folder", async () => {
    const { exit, stderr } = await ramtailor("scan rtl/ground.v rtl/store.v --top ground");
    expect(exit).toBe(0);
    expect(stderr).toContain(
      'rtl/ground.v:2:1: warning: "sizes.vh" is in no folder that is searched (-I adds one); left out',
    );
    expect(stderr).toContain("`BINS_LOG is not defined");
  });

  it.each([
    [
      "an unknown top",
      `${SCAN.replace("--top ground", "--top gruond")}`,
      '--top: no source has a module "gruond"; did you mean "ground"?',
    ],
    [
      "several tops",
      "scan rtl/store.v rtl/two.v",
      "expected one module that is in no other; give --top: store, two",
    ],
    [
      "an unknown macro",
      `${SCAN} -D WITH_LGO`,
      '-D: no source mentions the macro "WITH_LGO"; did you mean "WITH_LOG"?',
    ],
    ["a macro that is none", `${SCAN} -D 3=4`, '-D: expected NAME or NAME=VALUE, found "3=4"'],
    [
      "a limit that is none",
      `${SCAN} --registers-below few`,
      '--registers-below: expected a whole number of bits, found "few"',
    ],
    ["no file", "scan", "missing required argument"],
    ["a folder that is not there", `${SCAN} -o no/where.yaml`, "cannot be written"],
  ])("refuses %s", async (_, words, message) => {
    writeFileSync(join(folder, "two.v"), "module two; endmodule\n");
    const { exit, stdout, stderr } = await ramtailor(words.replace("rtl/two.v", join(folder, "two.v")));
    expect({ exit, stdout }).toEqual({ exit: 2, stdout: "" });
    expect(stderr).toContain(message);
  });

  it("names a source that is not there", async () => {
    const { exit, stdout } = await ramtailor("scan rtl/none.v --json");
    expect(exit).toBe(2);
    expect(JSON.parse(stdout)).toMatchObject({
      errors: [{ file: "rtl/none.v", code: "unreadable-file", message: "no such file" }],
    });
  });

  it("says in JSON which name is nearest", async () => {
    const { stdout } = await ramtailor(`${SCAN.replace("--top ground", "--top gruond")} --json`);
    expect(JSON.parse(stdout)).toMatchObject({ errors: [{ code: "unknown-top", nearest: "ground" }] });
  });
});
