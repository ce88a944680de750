import { memories } from "../heads.js";
import { type Case, GOOD } from "./case.js";

export const MEMORY: readonly Case[] = [
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
