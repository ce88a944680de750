import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type DesignEdit, editDesign, readDesign } from "../../src/input/index.js";

/** Invented: both styles, comments in every place, a flow mapping over two lines, quotes. */
const TEXT = `# A desk of memories.
design: desk
device: "ecp5-25f" # the small one
clock: 50 MHz

structures:
  # First-level data.
  - { kind: cache, name: l1d, size: 16 KiB, ways: 4, line: 64 B, address: 38,
      lane: 8 } # four ways

  - kind: direction-predictor
    name: patterns # short tables
    scheme: tagged
    tables: { count: 4, entries: 64, tag: 7, min_history: 8, max_history: 64 } # a series
    in:
      - LUT # small
      - registers

memories:
  - { name: log, depth: 500, width: 20, ports: 1rw } # of events
  # Between them.
  -   name: box
      depth: 256   # words
      # the width of a bus
      width: 32
      ports: 1rw
`;

function edited(text: string, ...edits: DesignEdit[]): string {
  const result = editDesign(text, edits);
  if (!result.ok) throw new Error(result.problem);
  return result.text;
}

/** The text with one part of it replaced, which has to stand there once. */
function swap(text: string, part: string, by: string): string {
  expect(text.split(part)).toHaveLength(2);
  return text.replace(part, by);
}

describe("editing a design changes the value alone", () => {
  it.each<[string, DesignEdit, string, string]>([
    ["a number in flow style", { path: "l1d.ways", value: 2 }, "ways: 4,", "ways: 2,"],
    ["the last of a flow mapping", { path: "l1d.lane", value: 16 }, "lane: 8 }", "lane: 16 }"],
    ["a size", { path: "l1d.line", value: "32 B" }, "line: 64 B,", "line: 32 B,"],
    ["a number in block style", { path: "box.depth", value: 300 }, "depth: 256  ", "depth: 300  "],
    ["a nested key", { path: "patterns.tables.count", value: 5 }, "count: 4,", "count: 5,"],
    ["a key of the design", { path: "clock", value: "60 MHz" }, "50 MHz", "60 MHz"],
    ["a quoted value", { path: "device", value: "up5k" }, '"ecp5-25f"', '"up5k"'],
    ["a value by a list", { path: "log.ports", value: ["LUT", "a, b"] }, "1rw }", '[LUT, "a, b"] }'],
    ["an item of a list", { path: "patterns.in.1", value: "EBR" }, "- registers", "- EBR"],
    [
      "a list by a word",
      { path: "patterns.in", value: "LUT" },
      "in:\n      - LUT # small\n      - registers",
      "in: LUT",
    ],
    [
      "a word by a mapping",
      { path: "log.ports", value: { group: "g", members: 2 } },
      "1rw }",
      "{ group: g, members: 2 } }",
    ],
    ["text that looks like a number", { path: "log.ports", value: "12" }, "1rw }", '"12" }'],
  ])("%s", (_, edit, part, by) => {
    expect(edited(TEXT, edit)).toBe(swap(TEXT, part, by));
  });
});

describe("a new key goes behind the last, in the style of its entry", () => {
  it.each<[string, DesignEdit, string, string]>([
    ["flow", { path: "l1d.banks", value: 2 }, "lane: 8 }", "lane: 8, banks: 2 }"],
    ["block", { path: "box.lane", value: 8 }, "      ports: 1rw\n", "      ports: 1rw\n      lane: 8\n"],
    [
      "block, behind a list",
      { path: "patterns.instances", value: 3 },
      "      - registers\n",
      "      - registers\n    instances: 3\n",
    ],
    [
      "of the design, before its lists",
      { path: "available.EBR", value: 40 },
      "clock: 50 MHz\n",
      "clock: 50 MHz\navailable: { EBR: 40 }\n",
    ],
    [
      "with the mapping around it",
      { path: "log.lockstep.group", value: "g" },
      "ports: 1rw }",
      "ports: 1rw, lockstep: { group: g } }",
    ],
  ])("%s", (_, edit, part, by) => {
    expect(edited(TEXT, edit)).toBe(swap(TEXT, part, by));
  });

  it("at the end of a text without a last line end", () => {
    const text = "design: d\nmemories:\n  - name: a\n    depth: 4";
    expect(edited(text, { path: "a.width", value: 2 })).toBe(`${text}\n    width: 2`);
  });

  it("with the line ends of the text", () => {
    const text = TEXT.replaceAll("\n", "\r\n");
    const result = edited(text, { path: "box.lane", value: 8 }, { path: "box.depth", value: null });
    expect(result).not.toMatch(/[^\r]\n/);
    expect(result).toContain("ports: 1rw\r\n      lane: 8\r\n");
  });

  it("into an empty mapping", () => {
    const text = "design: d\navailable: {}\nmemories: []\n";
    expect(edited(text, { path: "available.EBR", value: 1 })).toBe(swap(text, "{}", "{ EBR: 1 }"));
  });
});

describe("taking a key out", () => {
  it.each<[string, string, string, string]>([
    ["from the middle of a flow mapping", "l1d.ways", "ways: 4, ", ""],
    ["at the end of a flow mapping", "l1d.lane", ",\n      lane: 8 }", " }"],
    ["before a line break", "l1d.address", " address: 38,\n      lane", " lane"],
    ["from a block mapping, with its comment", "box.depth", "      depth: 256   # words\n", ""],
    ["behind a dash", "box.name", "-   name: box\n      depth", "-   depth"],
    ["with a block list", "patterns.in", "    in:\n      - LUT # small\n      - registers\n", ""],
    ["from a block list", "patterns.in.0", "      - LUT # small\n", ""],
    ["of the design", "clock", "clock: 50 MHz\n", ""],
    [
      "a whole entry in flow style",
      "log",
      "  - { name: log, depth: 500, width: 20, ports: 1rw } # of events\n",
      "",
    ],
    [
      "a whole entry in block style",
      "patterns",
      TEXT.slice(TEXT.indexOf("  - kind: dir"), TEXT.indexOf("\nmemories")),
      "",
    ],
  ])("%s", (_, path, part, by) => {
    expect(edited(TEXT, { path, value: null })).toBe(swap(TEXT, part, by));
  });

  it("keeps comments that stand between two keys", () => {
    const text = "design: d\nmemories:\n  - { name: a, # first\n      depth: 4, # second\n      width: 2 }\n";
    expect(edited(text, { path: "a.depth", value: null })).toBe(swap(text, "depth: 4, # second", "# second"));
    expect(edited(text, { path: "a.width", value: null })).toBe(
      "design: d\nmemories:\n  - { name: a, # first\n      depth: 4 # second\n       }\n",
    );
    const block = "design: d\nmemories:\n  - depth: 4\n    # of it\n    name: a\n";
    expect(edited(block, { path: "a.depth", value: null })).toBe(swap(block, "depth: 4", ""));
  });

  it("leaves an empty collection where it was the last", () => {
    const text = "design: d\navailable:\n  EBR: 4 # few\nmemories:\n  - name: a\n";
    const result = edited(text, { path: "available.EBR", value: null }, { path: "a", value: null });
    expect(result).toBe("design: d\navailable: {} # few\nmemories: []\n");
  });

  it("changes nothing where it is not there", () => {
    expect(edited(TEXT, { path: "log.lane", value: null }, { path: "log.lockstep.group", value: null })).toBe(
      TEXT,
    );
  });
});

describe("adding an entry", () => {
  const entry = { name: "new", depth: 8, width: 4, ports: "1rw" };
  const flow = "{ name: new, depth: 8, width: 4, ports: 1rw }";

  it("behind another, in its style", () => {
    expect(edited(TEXT, { list: "memories", entry, after: "log" })).toBe(
      swap(TEXT, "# of events\n", `# of events\n  - ${flow}\n`),
    );
    expect(edited(TEXT, { list: "memories", entry })).toBe(
      `${TEXT}  -   name: new\n      depth: 8\n      width: 4\n      ports: 1rw\n`,
    );
  });

  it("to a list in flow style, to an empty one and where there is none", () => {
    const head = "design: d\nclock: 1 MHz\n";
    expect(edited(`${head}memories: [{ name: a }]\n`, { list: "memories", entry })).toBe(
      `${head}memories: [{ name: a }, ${flow}]\n`,
    );
    expect(edited(`${head}memories: []\n`, { list: "memories", entry })).toBe(`${head}memories: [${flow}]\n`);
    expect(edited(`${head}memories:\n`, { list: "memories", entry })).toBe(`${head}memories: [${flow}]\n`);
    expect(edited(head, { list: "memories", entry })).toBe(`${head}memories:\n  - ${flow}\n`);
  });

  it("in the place of one that is taken out", () => {
    const result = edited(TEXT, { list: "memories", entry, after: "log" }, { path: "log", value: null });
    expect(result).toBe(swap(TEXT, "{ name: log, depth: 500, width: 20, ports: 1rw } # of events", flow));
  });
});

describe("what cannot be edited is refused, with the nearest name", () => {
  it.each<[DesignEdit, string, string | null]>([
    [{ path: "l1.ways", value: 2 }, '"l1" is no memory, structure or key', "l1d"],
    [{ path: "l1d.way", value: 2 }, '"way" is no key of l1d; did you mean "ways"?', "ways"],
    [{ path: "patterns.tables.cuont", value: 2 }, '"cuont" is no key of tables', "count"],
    [{ path: "clok", value: "1 MHz" }, '"clok" is no memory', "clock"],
    [{ path: "l1d", value: 2 }, "expected a key after the name", null],
    [{ path: "l1d..ways", value: 2 }, "expected names with dots", null],
    [{ path: "patterns.in.7", value: "LUT" }, "the list has 2 items", null],
    [{ list: "memories", entry: { name: "x" }, after: "bax" }, '"bax" is no entry of memories', "box"],
  ])("%j", (edit, words, nearest) => {
    const result = editDesign(TEXT, [edit]);
    if (result.ok) throw new Error("it was edited");
    expect(result.problem).toContain(words);
    expect(result.nearest).toBe(nearest);
  });

  it("knows the keys of a scheme", () => {
    const text = TEXT.replace("scheme: tagged", "scheme: bimodal");
    const result = editDesign(text, [{ path: "patterns.tables.count", value: 5 }]);
    expect(result).toMatchObject({ ok: false, problem: expect.stringContaining("is no key of patterns") });
  });

  it("an anchor that others use, an alias on the way, a text that is no YAML", () => {
    const text = "design: d\nmemories:\n  - &a { name: a, depth: &d 4 }\n  - { name: b, depth: *d }\n";
    expect(editDesign(text, [{ path: "a.depth", value: 5 }])).toMatchObject({ ok: false });
    expect(edited(text, { path: "b.depth", value: 5 })).toBe(swap(text, "*d", "5"));
    const whole = "design: d\nmemories:\n  - &a { name: a, depth: 4 }\nstructures:\n  - *a\n";
    expect(editDesign(whole, [{ path: "a.depth", value: 5 }])).toMatchObject({ ok: false });
    const behind = text
      .replace("{ name: b", "&b { name: b")
      .replace("depth: *d }", "in: *d }\nstructures: [*b]");
    expect(editDesign(behind, [{ path: "structures.0.name", value: "c" }])).toMatchObject({
      ok: false,
      problem: expect.stringContaining("behind the alias *b"),
    });
    expect(editDesign("design: [", [])).toMatchObject({ ok: false });
    expect(editDesign("- 1", [])).toMatchObject({ ok: false });
  });
});

/** A design of some memories, each entry and the list in flow or block style, with comments. */
const design = fc
  .array(
    fc.record({
      block: fc.boolean(),
      comment: fc.boolean(),
      broken: fc.boolean(),
      extra: fc.constantFrom("", "in: [LUT, registers]", "lockstep: { group: g }", "initial: true", "lane:"),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((entries) =>
    entries.reduce((text, { block, comment, broken, extra }, i) => {
      const keys = [`name: m${i}`, `depth: ${64 + i}`, `width: ${8 + i}`, "ports: 1rw", extra].filter(
        Boolean,
      );
      const note = comment ? ` # entry ${i}` : "";
      const gap = broken ? `,${note}\n      ` : ", ";
      const words = block ? keys.join(`${note}\n    `) : `{ ${keys.join(gap)} }`;
      return `${text}  - ${words}${note}\n`;
    }, "# A design.\ndesign: d # by chance\n\nmemories:\n"),
  );

describe("any edit of any design", () => {
  const key = fc.constantFrom("depth", "width", "in", "lane", "lockstep", "ports", "initial", "max_cascade");
  const value = fc.oneof(
    fc.integer({ min: 1, max: 99 }),
    fc.constantFrom("LUT", "16 KiB", "1e3", "a, b", "# no", "true", "- x", "{", ""),
    fc.constant(["LUT", "x: y"]),
    fc.constant({ group: "g", members: 2 }),
    fc.constant(null),
  );
  // What the edit means is checked inside: the result has to read as the old data with the edit made.
  it("is made, and touches no line but those of its entry", () => {
    fc.assert(
      fc.property(design, fc.nat(3), key, value, (text, at, name, to) => {
        const count = text.split("name: m").length - 1;
        const entry = `m${at % count}`;
        const result = edited(text, { path: `${entry}.${name}`, value: to });
        const others = (whole: string) =>
          whole.split(/^(?= {2}- )/m).filter((part) => !part.includes(`name: ${entry}`));
        expect(others(result)).toEqual(others(text));
        const comments = (whole: string) => whole.match(/# entry/g)?.length ?? 0;
        if (to !== null) expect(comments(result)).toBe(comments(text));
      }),
      { numRuns: 400 },
    );
  });

  it("adding an entry and taking it out again leaves the text as it was", () => {
    fc.assert(
      fc.property(design, fc.option(fc.nat(3), { nil: undefined }), (text, at) => {
        const count = text.split("name: m").length - 1;
        const after = at === undefined ? {} : { after: `m${at % count}` };
        const added = edited(text, { list: "memories", entry: { name: "new", depth: 4 }, ...after });
        expect(added).not.toBe(text);
        expect(edited(added, { path: "new", value: null })).toBe(text);
      }),
      { numRuns: 200 },
    );
  });
});

it("edits the designs that come with the program, and they read as edited", () => {
  const text = readFileSync(new URL("../../designs/dish-controller.yaml", import.meta.url), "utf8");
  const result = edited(
    text,
    { path: "l1d.ways", value: 2 },
    { path: "l1d.size", value: "8 KiB" },
    { path: "mailbox.depth", value: 300 },
    { path: "patterns.tables.count", value: 6 },
  );
  const read = readDesign({ file: "edited.yaml", text: result });
  if (!read.ok) throw new Error(read.diagnostics[0]!.message);
  const request = (name: string) => read.design.requests.find((each) => each.name === name)!;
  expect(request("l1d.data")).toMatchObject({ depth: 512, instances: 6 });
  expect(request("mailbox").depth).toBe(300);
  expect(request("patterns.tagged_64x12").instances).toBe(18);
  const changed = result.split("\n").filter((line, i) => line !== text.split("\n")[i]);
  expect(changed).toHaveLength(3);
  expect(result.split("\n")).toHaveLength(text.split("\n").length);
});
