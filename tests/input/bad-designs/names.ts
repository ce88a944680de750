import { memories, structures } from "../heads.js";
import { CACHE, type Case, GOOD, member } from "./case.js";

export const NAMES: readonly Case[] = [
  [
    "the same name three times",
    memories(GOOD, GOOD, GOOD),
    ':4:12: error: expected a name of its own, found "a" again',
    ':5:12: error: expected a name of its own, found "a" again',
  ],
  [
    "two structures of one name",
    structures(`name: l1, ${CACHE}`, `name: l1, ${CACHE}`),
    ':4:12: error: expected a name of its own, found "l1" again',
  ],
  [
    "a name that is a number",
    memories("name: 7, depth: 8, width: 8, ports: 1r"),
    ":3:12: error: memories[0].name: expected text, found 7",
  ],
  [
    "a name in other letters",
    memories("name: größe, depth: 8, width: 8, ports: 1r"),
    ':3:12: error: memories[0].name: expected letters, digits, _ and - only, found "größe"',
  ],
  [
    "a name of a structure that begins with a digit",
    structures(`name: 1l, ${CACHE}`),
    ':3:12: error: structures[0].name: expected a name of letters, digits, _ and -, a letter first, found "1l"',
  ],
  [
    "a design that is a list",
    "design: [d]\nmemories: []\n",
    ":1:9: error: design: expected text, found a list",
  ],
  [
    "a design without its name",
    "design:\nmemories: []\n",
    ":1:1: error: design: expected text, found nothing",
  ],
  [
    "a device that is a number",
    `device: 7\n${memories(GOOD)}`,
    ":1:9: error: device: expected text, found 7",
  ],
  ["two devices", `device: [a, b]\n${memories(GOOD)}`, ":1:9: error: device: expected text, found a list"],
  [
    "a device without a name",
    `device: ''\n${memories(GOOD)}`,
    ':1:9: error: device: expected text of at least 1 character, found ""',
  ],
  [
    "blocks in a list",
    `available: [EBR]\n${memories(GOOD)}`,
    ":1:12: error: available: expected a mapping, found a list",
  ],
  [
    "a weight in words",
    `weights: {EBR: heavy}\n${memories(GOOD)}`,
    ':1:16: error: weights.EBR: expected a number, found "heavy"',
  ],
  [
    "memories that are nothing",
    "design: d\nmemories:\n",
    ":2:1: error: memories: expected a list, found nothing",
  ],
  [
    "structures that are no list",
    "design: d\nstructures: {kind: cache}\n",
    ":2:13: error: structures: expected a list, found a mapping",
  ],
  [
    "an entry that is nothing",
    "design: d\nmemories:\n  -\n",
    ":3:3: error: memories[0]: expected a mapping, found nothing",
  ],
  [
    "an unknown key of a lockstep group",
    memories(member("a", "lockstep: {group: g, member: 2}")),
    ':3:69: error: memories[0].lockstep: unknown key "member"; did you mean "members"?',
  ],
  [
    "an unknown key of an exclusive group",
    memories(member("a", "exclusive: {group: g, written: apart}")),
    ':3:70: error: memories[0].exclusive: unknown key "written"; known keys: group, members',
  ],
  [
    "a group without its name",
    memories(member("a", "lockstep: {}")),
    ":3:58: error: memories[0].lockstep.group is missing, expected text",
  ],
  [
    "a key that every object has",
    memories(`${GOOD}, __proto__: 1`),
    ':3:48: error: memories[0]: unknown key "__proto__"; known keys: name, depth, width, ports, instances, lane, read, clocks, lockstep, exclusive, realisation, in, pump, max_cascade, initial, contents, collision, read_width, write_width',
  ],
  [
    "an unknown key of a register file",
    structures("kind: register-file, name: x, entries: 32, width: 64, reads: 1, writes: 1, raeds: 1"),
    ':3:81: error: structures[0]: unknown key "raeds"; did you mean "reads"?',
  ],
  [
    "an unknown key of a direction predictor",
    structures("kind: direction-predictor, name: g, scheme: global-history, history: 8, histroy: 8"),
    ':3:78: error: structures[0]: unknown key "histroy"; did you mean "history"?',
  ],
  [
    "an unknown key of a branch target buffer",
    structures("kind: branch-target-buffer, name: b, entries: 64, address: 32, target: 20, tag: 8, tags: 8"),
    ':3:89: error: structures[0]: unknown key "tags"; did you mean "tag"?',
  ],
  [
    "an unknown key of a return stack",
    structures("kind: return-stack, name: r, entries: 8, width: 32, depth: 8"),
    ':3:58: error: structures[0]: unknown key "depth"; known keys: kind, name, instances, in, max_cascade, pump, realisation, collision, entries, width',
  ],
  [
    "an unknown key of a TLB",
    structures("kind: tlb, name: t, entries: 64, ways: 4, mode: sv39, address: 38, asids: 8"),
    ':3:73: error: structures[0]: unknown key "asids"; did you mean "asid"?',
  ],
  [
    "an unknown key of a FIFO",
    structures("kind: fifo, name: q, depth: 64, width: 36, clock: 2"),
    ':3:49: error: structures[0]: unknown key "clock"; did you mean "clocks"?',
  ],
  [
    "an unknown key of a line buffer",
    structures("kind: line-buffer, name: l, pixels: 320, width: 8, taps: 3, tap: 3"),
    ':3:66: error: structures[0]: unknown key "tap"; did you mean "taps"?',
  ],
  [
    "an unknown key of a scratchpad",
    structures("kind: scratchpad, name: s, size: 2 KiB, width: 32, lanes: 8"),
    ':3:57: error: structures[0]: unknown key "lanes"; did you mean "lane"?',
  ],
  [
    "an unknown key of a ROM",
    structures("kind: rom, name: boot, size: 1 KiB, width: 32, contens: a.hex"),
    ':3:53: error: structures[0]: unknown key "contens"; did you mean "contents"?',
  ],
  [
    "a replacement with two letters swapped",
    structures(`name: l1, ${CACHE}, replacement: lur`),
    ':3:90: error: structures[0].replacement: expected one of lru, lru-matrix, lru-age, tree-plru, fifo, random, none, found "lur"; did you mean "lru"?',
  ],
  [
    "a mode with two digits swapped",
    structures("kind: tlb, name: t, entries: 64, ways: 4, mode: sv93, address: 38"),
    ':3:54: error: structures[0].mode: expected one of sv32, sv39, sv48, found "sv93"; did you mean "sv39"?',
  ],
  [
    "a word for ways",
    structures("kind: tlb, name: t, entries: 64, ways: all, mode: sv39, address: 38"),
    ':3:45: error: structures[0].ways: expected a number of ways from 1 to 4096, or full, found "all"',
  ],
  [
    "a collision in capitals",
    memories(`${GOOD}, collision: Old`),
    ':3:59: error: memories[0].collision: expected any, old or new, found "Old"; did you mean "old"?',
  ],
  [
    "a flag in words",
    memories(`${GOOD}, initial: yes`),
    ':3:57: error: memories[0].initial: expected true or false, found "yes"',
  ],
  [
    "contents without a path",
    memories(`${GOOD}, contents: ''`),
    ':3:58: error: memories[0].contents: expected text of at least 1 character, found ""',
  ],
  [
    "contents as a number",
    memories(`${GOOD}, contents: 7`),
    ":3:58: error: memories[0].contents: expected text, found 7",
  ],
  [
    "contents with a path too long",
    memories(`${GOOD}, contents: ${"x".repeat(1025)}`),
    ':3:58: error: memories[0].contents: expected text of at most 1,024 characters, found "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx…"',
  ],
  [
    "a home without a name",
    memories(`${GOOD}, in: ''`),
    ':3:52: error: memories[0].in: expected text of at least 1 character, found ""',
  ],
  [
    "no ports at all",
    memories("name: a, depth: 8, width: 8, ports: 0r0w"),
    ':3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "0r0w"',
  ],
  [
    "more ports than can be counted",
    memories("name: a, depth: 8, width: 8, ports: 99999999999999999999r"),
    ':3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "99999999999999999999r"',
  ],
  [
    "a sort of port twice",
    memories("name: a, depth: 8, width: 8, ports: 1r1r"),
    ':3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "1r1r"',
  ],
  [
    "ports below zero",
    memories("name: a, depth: 8, width: 8, ports: -1r1w"),
    ':3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "-1r1w"',
  ],
  [
    "ports in capitals",
    memories("name: a, depth: 8, width: 8, ports: 1R1W"),
    ':3:42: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "1R1W"',
  ],
  [
    "slips on every level, all told",
    `design: a b\nclock: 100\navailable: {EBR: -1}\nsmal: {}\nmemories:\n  - {name: a, depth: 0, width: 8.5, ports: 1x, lanes: 4}\nstructures:\n  - {kind: fifo, name: q, depth: 64, widht: 36}\n  - {kind: cahce, name: l}\n`,
    ':1:9: error: design: expected letters, digits, _ and - only, found "a b"',
    ':2:8: error: clock: expected a clock such as "100 MHz", found 100',
    ":3:18: error: available.EBR: expected at least 0, found -1",
    ':4:1: error: unknown key "smal"; did you mean "small"?',
    ":6:22: error: memories[0].depth: expected at least 1, found 0",
    ":6:32: error: memories[0].width: expected a whole number, found 8.5",
    ':6:44: error: memories[0].ports: expected ports such as 1rw, 2r1w or 1r (counts of r, w and rw), found "1x"',
    ':6:48: error: memories[0]: unknown key "lanes"; did you mean "lane"?',
    ":8:5: error: structures[0].width is missing, expected a number of bits, for example 38 or 38 bits",
    ':8:38: error: structures[0]: unknown key "widht"; did you mean "width"?',
    ':9:12: error: structures[1].kind: expected cache, register-file, direction-predictor, branch-target-buffer, return-stack, tlb, fifo, line-buffer, scratchpad or rom, found "cahce"; did you mean "cache"?',
  ],
];
