import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Manifest } from "../../src/rtl/index.js";
import { ramtailor } from "./run-command.js";

/** Invented for these tests. */
const DESIGN = `design: wind
device: generic-10k
memories:
  - { name: table, depth: 4, width: 8, ports: 1r, contents: table.hex }
  - { name: left, depth: 300, width: 20, ports: 1rw }
  - { name: right, depth: 200, width: 20, ports: 1rw }
  - { name: queue, depth: 600, width: 8, ports: 1r1w, instances: 3 }
`;

let cwd = "";
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), "ramtailor-wrap-"));
  writeFileSync(join(cwd, "wind.yaml"), DESIGN);
  writeFileSync(join(cwd, "table.hex"), "1f\n2e // two\n@3\n4c\n");
});
afterEach(() => rmSync(cwd, { recursive: true }));

const wrap = (words: string) => ramtailor(`wrap wind.yaml ${words}`, { cwd });
const text = (path: string) => readFileSync(join(cwd, path), "utf8");
const allText = (folder: string) =>
  Object.fromEntries(readdirSync(join(cwd, folder)).map((name) => [name, text(join(folder, name))]));

describe("ramtailor wrap", () => {
  it("writes modules, hex files and the manifest, and nothing beside the folder", async () => {
    const { exit, stderr, stdout } = await wrap("-o rtl");
    expect({ exit, stderr }).toEqual({ exit: 0, stderr: "" });
    expect(stdout).toContain("wind_left_right: left, right\n");
    expect(stdout).toContain("wind_queue: queue; 3 times\n");
    expect(readdirSync(cwd).sort()).toEqual(["rtl", "table.hex", "wind.yaml"]);
    const manifest = JSON.parse(text("rtl/ramtailor-wrap.json")) as Manifest;
    const listed = manifest.files.map(({ path }) => path);
    expect(readdirSync(join(cwd, "rtl")).sort()).toEqual([...listed, "ramtailor-wrap.json"].sort());
    expect(manifest.modules.find(({ module }) => module === "wind_queue")!.instances).toEqual([
      { count: 3, first: [0] },
    ]);
    const shared = manifest.modules.find(({ module }) => module === "wind_left_right")!;
    expect(shared.memories.map(({ signals }) => signals[0]!.address)).toEqual([
      "left_p0_addr",
      "right_p0_addr",
    ]);
    expect(text("rtl/wind_table.v")).toContain('.CONTENTS("wind_table.');
    expect(text("rtl/wind_left_right.v")).toContain("input  wire [8:0] left_p0_addr");
  });

  it("writes the same bytes again, elsewhere and over its own files", async () => {
    await wrap("-o one --bench");
    await wrap("-o two --bench");
    expect(allText("two")).toEqual(allText("one"));
    expect((await wrap("-o two --bench")).exit).toBe(0);
    expect(allText("two")).toEqual(allText("one"));
  });

  it("takes away what it wrote before and does not write now, but nothing else", async () => {
    await wrap("-o rtl --bench");
    writeFileSync(join(cwd, "rtl/notes.v"), "// mine\n");
    writeFileSync(join(cwd, "rtl/wind_queue_bench.v"), "// mine now\n");
    expect((await wrap("-o rtl")).exit).toBe(0);
    const names = readdirSync(join(cwd, "rtl"));
    expect(names.filter((name) => name.endsWith("_bench.v"))).toEqual(["wind_queue_bench.v"]);
    expect(text("rtl/notes.v")).toBe("// mine\n");
  });

  it("does not overwrite a file that is not its own without --force", async () => {
    mkdirSync(join(cwd, "rtl"));
    writeFileSync(join(cwd, "rtl/wind_queue.v"), "// mine\n");
    const refused = await wrap("-o rtl");
    expect(refused.exit).toBe(2);
    expect(refused.stderr).toContain("would overwrite wind_queue.v");
    expect(allText("rtl")).toEqual({ "wind_queue.v": "// mine\n" });
    expect((await wrap("-o rtl --force")).exit).toBe(0);
    expect(text("rtl/wind_queue.v")).toContain("module wind_queue");
    // Nor one that was changed since.
    writeFileSync(join(cwd, "rtl/wind_table.v"), "// changed\n");
    expect((await wrap("-o rtl")).exit).toBe(2);
    expect(text("rtl/wind_table.v")).toBe("// changed\n");
  });

  it("writes SystemVerilog", async () => {
    expect((await wrap("-o rtl --language systemverilog")).exit).toBe(0);
    expect(text("rtl/wind_queue.sv")).toContain("module wind_queue");
  });

  it("writes VHDL, with benches in it", async () => {
    expect((await wrap("-o rtl --language vhdl --bench")).exit).toBe(0);
    expect(text("rtl/wind_queue.vhd")).toContain("entity wind_queue is");
    expect(text("rtl/wind_queue_bench.vhd")).toContain("wind_queue_bench.vectors");
  });

  it("says what stands against it, all at once", async () => {
    writeFileSync(
      join(cwd, "wind.yaml"),
      DESIGN.replace("1rw }", "1rw, contents: none.hex }").replace("1r1w,", "1r1w, collision: new,"),
    );
    writeFileSync(join(cwd, "table.hex"), "1f\nx\n100\n1 2 3\n");
    const { exit, stderr } = await wrap("-o rtl");
    expect(exit).toBe(2);
    expect(stderr).toContain("left: contents: none.hex cannot be read");
    expect(stderr).toContain("table.hex, line 2: expected a word or an @address in hexadecimal digits");
    expect(stderr).toContain("table.hex, line 3: expected a word of 8 bits");
    expect(stderr).toContain("table.hex, line 4: expected at most 4 words");
    expect(stderr).toContain("queue: collision: expected any, as RAM10K shows old or undefined at one port");
    expect(readdirSync(cwd)).not.toContain("rtl");
  });

  it.each([
    ["", "required option"],
    ["-o rtl --language latin", "is not a language"],
    ["-o wind.yaml", "cannot be written"],
  ])("refuses %j", async (words, message) => {
    const { exit, stderr, stdout } = await wrap(words);
    expect({ exit, stdout }).toEqual({ exit: 2, stdout: "" });
    expect(stderr).toContain(message);
    expect(text("wind.yaml")).toBe(DESIGN);
  });
});
