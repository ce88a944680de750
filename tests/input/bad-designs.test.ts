import { describe, expect, test } from "vitest";
import { parse } from "yaml";
import { readDesign } from "../../src/input/index.js";
import { follows } from "../support/json-schema.js";
import { heads, memories, structures } from "./heads.js";

const GOOD = "name: a, depth: 8, width: 8, ports: 1r1w";

/** A text, and every diagnostic of it as printed after the name of the file. */
type Case = readonly [what: string, text: string, ...diagnostics: string[]];

const YAML: readonly Case[] = [
  ["an empty file", "", ": error: expected a mapping, found nothing"],
  ["a comment alone", "# nothing yet\n", ": error: expected a mapping, found nothing"],
  ["a list at the root", "- a\n", ":1:1: error: expected a mapping, found a list"],
  ["text at the root", "hello\n", ':1:1: error: expected a mapping, found "hello"'],
  [
    "a bracket that is not closed",
    "design: d\nmemories: [\n",
    ":3:1: error: Flow sequence in block collection must be sufficiently indented and end with a ]",
  ],
  ["a second document", `${memories(GOOD)}---\na: 1\n`, ":4:1: error: expected one document, found another"],
  [
    "a directive for an older version",
    `%YAML 1.1\n---\n${memories(GOOD)}`,
    ": error: expected YAML 1.2, found the directive for 1.1",
  ],
  ["a list as key", "? [a]\n: 1\n", ":1:3: error: expected a name as key, found another thing"],
  ["a key twice", "design: d\ndesign: e\nmemories: []\n", ':2:1: error: key "design" stands twice here'],
  ["a key twice in an entry", memories(`${GOOD}, depth: 9`), ':3:48: error: key "depth" stands twice here'],
  ["a tag", memories(`${GOOD}, lane: !bits 8`), ":3:54: error: Unresolved tag: !bits"],
  ["an alias of nothing", memories(`${GOOD}, lane: *x`), ":3:54: error: alias *x names no anchor"],
  ["an alias inside itself", "design: &a [*a]\n", ":1:13: error: alias *a stands inside itself"],
  [
    "an infinite width",
    memories("name: a, depth: 8, width: .inf, ports: 1r"),
    ":3:32: error: expected a finite number, found .inf",
  ],
  [
    "a depth that is not a number",
    memories("name: a, depth: .nan, width: 8, ports: 1r"),
    ":3:22: error: expected a finite number, found .nan",
  ],
  [
    "a number beyond all doubles",
    memories("name: a, depth: 1e999, width: 8, ports: 1r"),
    ":3:22: error: expected a finite number, found 1e999",
  ],
  ["brackets a hundred deep", `a: ${"[".repeat(150)}`, ":1:104: error: nested more than 100 deep"],
  ["lists a hundred deep", `${"- ".repeat(150)}a`, ":1:201: error: nested more than 100 deep"],
  [
    "a text too long",
    `# ${"x".repeat(4 * 1024 * 1024)}`,
    ": error: expected at most 4 MiB of text, found more",
  ],
];

const FORM: readonly Case[] = [
  [
    "no name",
    "memories:\n  - {name: a, depth: 8, width: 8, ports: 1r}\n",
    ":1:1: error: design is missing, expected text",
  ],
  [
    "an empty name",
    "design: ''\nmemories: []\n",
    ':1:9: error: design: expected text of at least 1 character, found ""',
  ],
  [
    "a name with a space",
    "design: a b\nmemories: []\n",
    ':1:9: error: design: expected letters, digits, _ and - only, found "a b"',
  ],
  ["nothing to place", "design: d\n", ":1:9: error: expected memories or structures, found none"],
  [
    "a misspelt key at the root",
    "design: d\nmemorys: []\n",
    ':2:1: error: unknown key "memorys"; did you mean "memories"?',
  ],
  [
    "a key like none at the root",
    "design: d\ntemperature: 3\n",
    ':2:1: error: unknown key "temperature"; known keys: design, device, clock, available, weights, max_cascade, small, memories, structures',
  ],
  [
    "a clock without unit",
    `clock: 100\n${memories(GOOD)}`,
    ':1:8: error: clock: expected a clock such as "100 MHz", found 100',
  ],
  [
    "a clock of zero",
    `clock: 0 MHz\n${memories(GOOD)}`,
    ':1:8: error: clock: expected a clock such as "100 MHz", found "0 MHz"',
  ],
  [
    "blocks below zero",
    `available: {EBR: -1}\n${memories(GOOD)}`,
    ":1:18: error: available.EBR: expected at least 0, found -1",
  ],
  [
    "half a block",
    `available: {EBR: 1.5}\n${memories(GOOD)}`,
    ":1:18: error: available.EBR: expected a whole number, found 1.5",
  ],
  [
    "a weight of zero",
    `weights: {EBR: 0}\n${memories(GOOD)}`,
    ":1:16: error: weights.EBR: expected more than 0, found 0",
  ],
  [
    "a misspelt key of small",
    `small: {lutdepth: 32}\n${memories(GOOD)}`,
    ':1:9: error: small: unknown key "lutdepth"; did you mean "lut_depth"?',
  ],
  [
    "memories that are no list",
    "design: d\nmemories: {a: 1}\n",
    ":2:11: error: memories: expected a list, found a mapping",
  ],
  [
    "an entry that is no mapping",
    "design: d\nmemories: [7]\n",
    ":2:12: error: memories[0]: expected a mapping, found 7",
  ],
];

const MEMORY: readonly Case[] = [
  [
    "no fields",
    memories(""),
    ":3:5: error: memories[0].name is missing, expected text",
    ":3:5: error: memories[0].depth is missing, expected a number",
    ":3:5: error: memories[0].width is missing, expected a number",
    ":3:5: error: memories[0].ports is missing, expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw)",
  ],
  [
    "a key without value",
    memories("name: a, depth: , width: 8, ports: 1r"),
    ":3:15: error: memories[0].depth: expected a number, found nothing",
  ],
  [
    "a depth in words of text",
    memories("name: a, depth: 1k, width: 8, ports: 1r"),
    ':3:22: error: memories[0].depth: expected a number, found "1k"',
  ],
  [
    "four slips in two entries",
    memories("name: a, depth: 0, widht: 8, ports: 1r", "name: b, depth: 8, width: 65537, ports: 1x"),
    ":3:5: error: memories[0].width is missing, expected a number",
    ":3:22: error: memories[0].depth: expected at least 1, found 0",
    ':3:25: error: memories[0]: unknown key "widht"; did you mean "width"?',
    ":4:32: error: memories[1].width: expected at most 65,536, found 65537",
    ':4:46: error: memories[1].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "1x"',
  ],
  [
    "a depth beyond the limit",
    memories("name: a, depth: 1073741825, width: 8, ports: 1r"),
    ":3:22: error: memories[0].depth: expected at most 1,073,741,824, found 1073741825",
  ],
  [
    "instances beyond the limit",
    memories(`${GOOD}, instances: 1000001`),
    ":3:59: error: memories[0].instances: expected at most 1,000,000, found 1000001",
  ],
  [
    "ports as a number",
    memories("name: a, depth: 8, width: 8, ports: 2"),
    ":3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found 2",
  ],
  [
    "a memory that nothing reads",
    memories("name: a, depth: 8, width: 8, ports: 2w"),
    ":3:42: error: memories[0].ports: expected at least one port that reads, found none",
  ],
  [
    "a name with a full stop",
    memories("name: a.b, depth: 8, width: 8, ports: 1r"),
    ':3:12: error: memories[0].name: expected letters, digits, _ and - only, found "a.b"',
  ],
  [
    "a name too long",
    memories(`name: ${"n".repeat(65)}, depth: 8, width: 8, ports: 1r`),
    `:3:12: error: memories[0].name: expected text of at most 64 characters, found "${"n".repeat(39)}…"`,
  ],
  [
    "a misspelt read style",
    memories(`${GOOD}, read: asynch`),
    ':3:54: error: memories[0].read: expected sync or async, found "asynch"; did you mean "async"?',
  ],
  [
    "three clocks",
    memories(`${GOOD}, clocks: 3`),
    ":3:56: error: memories[0].clocks: expected 1 or 2, found 3",
  ],
  [
    "two clocks on one port",
    memories("name: a, depth: 8, width: 8, ports: 1rw, clocks: 2"),
    ":3:55: error: memories[0].clocks: expected 1 for a memory of one port, found 2",
  ],
  [
    "a lane wider than the word",
    memories(`${GOOD}, lane: 9`),
    ":3:54: error: memories[0].lane: expected at most the width of the memory, 8, found 9",
  ],
  [
    "a lane of a ROM",
    memories("name: a, depth: 8, width: 8, ports: 1r, lane: 4"),
    ":3:52: error: memories[0].lane: expected no lane for a memory without a write port, found 4",
  ],
  [
    "a ROM without contents",
    memories("name: a, depth: 8, width: 8, ports: 1r, initial: false"),
    ":3:55: error: memories[0].initial: expected true for a memory without a write port, found false",
  ],
  [
    "contents for a memory that has none at start",
    memories("name: a, depth: 8, width: 8, ports: 1rw, contents: a.hex, initial: false"),
    ":3:73: error: memories[0].initial: expected true for a memory with contents, found false",
  ],
  [
    "a collision that no memory shows",
    memories("name: a, depth: 8, width: 8, ports: 1rw, collision: both"),
    ':3:58: error: memories[0].collision: expected any, old or new, found "both"',
  ],
  [
    "a misspelt realisation",
    memories(`${GOOD}, realisation: replicated`),
    ':3:61: error: memories[0].realisation: expected one-copy, replication, dual-port-replication, live-value-table, exclusive-or, pumped, lut-memory or registers, found "replicated"; did you mean "replication"?',
  ],
  [
    "pumped once",
    `clock: 50 MHz\n${memories(`${GOOD}, pump: 1`)}`,
    ":4:54: error: memories[0].pump: expected at least 2, found 1",
  ],
  [
    "pumped five times",
    `clock: 50 MHz\n${memories(`${GOOD}, pump: 5`)}`,
    ":4:54: error: memories[0].pump: expected at most 4, found 5",
  ],
  [
    "pumped two times and a half",
    `clock: 50 MHz\n${memories(`${GOOD}, pump: 2.5`)}`,
    ":4:54: error: memories[0].pump: expected a whole number, found 2.5",
  ],
  [
    "pumped on two clocks",
    `clock: 50 MHz\n${memories(`${GOOD}, clocks: 2, pump: 2`)}`,
    ":4:65: error: memories[0].pump: expected no pump for a memory of two clocks, found 2",
  ],
  [
    "pumped with asynchronous read",
    `clock: 50 MHz\n${memories(`${GOOD}, read: async, pump: 2`)}`,
    ":4:67: error: memories[0].pump: expected no pump for a memory that reads asynchronously, found 2",
  ],
  [
    "pumped in a lockstep group and in an exclusive one",
    `clock: 50 MHz\n${memories(`${GOOD}, lockstep: g, pump: 2`, "name: b, depth: 8, width: 8, ports: 1rw, exclusive: h, pump: 2")}`,
    ":4:67: error: memories[0].pump: expected no pump for a memory in a lockstep group, found 2",
    ":5:67: error: memories[1].pump: expected no pump for a memory in an exclusive group, found 2",
  ],
  [
    "pumped with no clock to multiply",
    `${memories(`${GOOD}, pump: 2`)}structures:\n  - {kind: fifo, name: q, depth: 8, width: 8, pump: 3}\n`,
    ':3:54: error: a: pump: expected the key "clock" in the design, which it multiplies, found none',
    ':5:53: error: q: pump: expected the key "clock" in the design, which it multiplies, found none',
  ],
  [
    "pinned to pumped without pump",
    memories(`${GOOD}, realisation: pumped`),
    ':3:61: error: memories[0].realisation: expected the key "pump" beside pumped, found none',
  ],
  [
    "no home at all",
    memories(`${GOOD}, in: []`),
    ":3:52: error: memories[0].in: expected a list of at least 1 entry, found an empty list",
  ],
  [
    "a home that is no name",
    memories(`${GOOD}, in: [EBR, 3]`),
    ":3:58: error: memories[0].in[1]: expected text, found 3",
  ],
  [
    "no block in depth",
    memories(`${GOOD}, max_cascade: 0`),
    ":3:61: error: memories[0].max_cascade: expected at least 1, found 0",
  ],
  [
    "sides neither of the width",
    memories(`${GOOD}, read_width: 16, write_width: 32`),
    ":3:60: error: memories[0].read_width: expected the narrower side to be the width of the memory, 8, found 16 to read and 32 to write",
  ],
  [
    "a side narrower than the width",
    memories(`${GOOD}, write_width: 4`),
    ":3:61: error: memories[0].write_width: expected the narrower side to be the width of the memory, 8, found 8 to read and 4 to write",
  ],
  [
    "a side three times the width",
    memories(`${GOOD}, read_width: 24`),
    ":3:60: error: memories[0].read_width: expected the width of the memory, 8, times a power of two, found 24",
  ],
  [
    "a wide side that does not divide the depth",
    memories("name: a, depth: 9, width: 8, ports: 1r1w, read_width: 16"),
    ":3:22: error: memories[0].depth: expected a multiple of the 2 words that the wide side moves at once, found 9",
  ],
  [
    "unequal sides on other ports",
    memories("name: a, depth: 8, width: 8, ports: 2r1w, read_width: 16"),
    ":3:60: error: memories[0].read_width: expected ports 1r1w where the sides differ in width, found 2r1w",
  ],
  ["the same name twice", memories(GOOD, GOOD), ':4:12: error: expected a name of its own, found "a" again'],
];

const member = (name: string, more: string) => `name: ${name}, depth: 8, width: 8, ports: 1r1w, ${more}`;

const GROUPS: readonly Case[] = [
  [
    "both sorts of group",
    memories(member("a", "lockstep: g, exclusive: h")),
    ":3:72: error: memories[0].exclusive: expected a lockstep group or an exclusive group, found both",
  ],
  [
    "members that do not divide",
    memories(member("a", "instances: 4, lockstep: {group: g, members: 3}")),
    ":3:92: error: memories[0].lockstep.members: expected members to divide the 4 instances, found 3",
  ],
  [
    "a misspelt way to write",
    memories(member("a", "lockstep: {group: g, written: togther}")),
    ':3:78: error: memories[0].lockstep.written: expected together or apart, found "togther"; did you mean "together"?',
  ],
  [
    "a number as group",
    memories(member("a", "exclusive: 7")),
    ":3:59: error: memories[0].exclusive: expected text or a mapping, found 7",
  ],
  [
    "copies of the group that differ",
    memories(
      member("a", "instances: 4, lockstep: {group: g, members: 2}"),
      member("b", "instances: 2, lockstep: g"),
    ),
    ':4:72: error: lockstep group "g": expected 2 copies of the group as a makes, found 1',
  ],
  [
    "a lockstep member of another depth",
    memories(member("a", "lockstep: g"), "name: b, depth: 16, width: 8, ports: 1r1w, lockstep: g"),
    ':4:22: error: lockstep group "g": expected the depth of a, 8, found 16',
  ],
  [
    "a lockstep member of other ports and read style",
    memories(member("a", "lockstep: g"), "name: b, depth: 8, width: 8, ports: 1rw, read: async, lockstep: g"),
    ':4:42: error: lockstep group "g": expected the ports of a, 1r1w, found 1rw',
    ':4:53: error: lockstep group "g": expected the read style of a, sync, found async',
  ],
  [
    "a lockstep member with a wide side",
    memories(member("a", "lockstep: g"), member("b", "read_width: 16, lockstep: g")),
    ':4:60: error: lockstep group "g": expected the words per read of a, 1, found 2',
  ],
  [
    "an exclusive member of other clocks",
    memories(member("a", "exclusive: g"), member("b", "clocks: 2, exclusive: g")),
    ':4:56: error: exclusive group "g": expected the clocks of a, 1, found 2',
  ],
  [
    "a member that leaves the differing key out",
    memories(member("a", "clocks: 2, exclusive: g"), member("b", "exclusive: g")),
    ':4:12: error: exclusive group "g": expected the clocks of a, 2, found 1',
  ],
];

const CACHE = "kind: cache, size: 16 KiB, ways: 4, line: 64 B, address: 38";

const STRUCTURES: readonly Case[] = [
  [
    "a misspelt kind",
    structures("kind: cahce, name: l1"),
    ':3:12: error: structures[0].kind: expected cache, register-file, direction-predictor, branch-target-buffer, return-stack, tlb, fifo, line-buffer, scratchpad or rom, found "cahce"; did you mean "cache"?',
  ],
  [
    "no kind",
    structures("name: l1"),
    ":3:5: error: structures[0].kind is missing, expected cache, register-file, direction-predictor, branch-target-buffer, return-stack, tlb, fifo, line-buffer, scratchpad or rom",
  ],
  [
    "a misspelt key",
    structures(`name: l1, ${CACHE}, replacment: lru`),
    ':3:77: error: structures[0]: unknown key "replacment"; did you mean "replacement"?',
  ],
  [
    "a size without unit",
    structures("kind: cache, name: l1, size: 16384, line: 64 B, address: 38"),
    ":3:35: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found 16384",
  ],
  [
    "a structure named as a memory",
    `${memories("name: l1, depth: 8, width: 8, ports: 1r")}structures: [{name: l1, ${CACHE}}]\n`,
    ':4:21: error: expected a name of its own, found "l1" again',
  ],
];

const LIMITS: readonly Case[] = [
  [
    "more memories than the limit",
    memories(...Array.from({ length: 10_002 }, (_, i) => `name: m${i}, depth: 8, width: 8, ports: 1r`)),
    ":10003:12: error: expected at most 10,000 memories, found 10,002",
  ],
  [
    "more bits than can be counted",
    memories(
      "name: a, depth: 1073741824, width: 65536, ports: 1r, instances: 4",
      "name: b, depth: 1, width: 1, ports: 1r",
    ),
    ":4:12: error: expected a design of at most 281,474,976,710,656 bits, found more from here on",
  ],
  [
    "a structure in more copies than the limit",
    structures(
      "kind: register-file, name: x, instances: 1000001, entries: 32, width: 64, reads: 1, writes: 1",
    ),
    ":3:47: error: x: instances: expected at most 1,000,000, found 1,000,001",
  ],
];

describe.each([
  ["YAML", YAML],
  ["form", FORM],
  ["a memory", MEMORY],
  ["groups", GROUPS],
  ["structures", STRUCTURES],
  ["limits", LIMITS],
])("%s", (_, cases) => {
  test.each(cases.map(([what, text, ...expected]) => ({ what, text, expected })))(
    "$what",
    ({ text, expected }) => {
      const source = { file: "d.yaml", text };
      const read = readDesign(source);
      expect(read.ok ? ["no error"] : heads(source, read.diagnostics)).toEqual(
        expected.map((e) => `d.yaml${e}`),
      );
    },
    60_000,
  );
});

/** What JSON Schema has no form for: it is told in the descriptions. */
const BEYOND_JSON_SCHEMA = [
  /expected a name of its own/,
  /expected a lane|expected no lane|expected at most the width/,
  /expected 1 for a memory of one port/,
  /expected true for a memory with/,
  /expected no pump|expected the key "(?:pump|clock)"/,
  /side|times a power of two|found both|members to divide|group "/,
  /expected memories or structures/,
  /a clock such as "100 MHz", found "0 MHz"/,
  /expected at most 10,000 memories|bits, found more from here on|x: instances/,
];

describe("a reader of JSON Schema", () => {
  const takes = follows("design");
  const cases = [...FORM, ...MEMORY, ...GROUPS, ...STRUCTURES, ...LIMITS];

  test.each(cases.map(([what, text, ...expected]) => ({ what, text, expected })))(
    "refuses what has a form there: $what",
    ({ text, expected }) => {
      const beyond = expected.every((line) => BEYOND_JSON_SCHEMA.some((words) => words.test(line)));
      expect(takes(parse(text))).toBe(beyond);
    },
  );
});
