import { memories, structures } from "../heads.js";
import { type Case, GOOD, member } from "./case.js";

const depth = (text: string) => memories(`name: a, depth: ${text}, width: 8, ports: 1r1w`);

export const NUMBERS: readonly Case[] = [
  [
    "a depth of 2^53",
    depth("9007199254740992"),
    ":3:22: error: memories[0].depth: expected at most 1,073,741,824, found 9007199254740992",
  ],
  [
    "a depth of 2^53 + 1",
    depth("9007199254740993"),
    ":3:22: error: memories[0].depth: expected at most 1,073,741,824, found 9007199254740992",
  ],
  [
    "a depth of 400 digits",
    depth("9".repeat(400)),
    ":3:22: error: expected a finite number, found 999999999999999999999999999999999999999…",
  ],
  ["a depth below zero", depth("-8"), ":3:22: error: memories[0].depth: expected at least 1, found -8"],
  ["an infinite depth below zero", depth("-.inf"), ":3:22: error: expected a finite number, found -.inf"],
  [
    "a depth with a fraction",
    depth("8.5"),
    ":3:22: error: memories[0].depth: expected a whole number, found 8.5",
  ],
  [
    "a depth near zero",
    depth("1e-9"),
    ":3:22: error: memories[0].depth: expected a whole number, found 1e-9",
  ],
  [
    "a depth with an underscore",
    depth("1_024"),
    ':3:22: error: memories[0].depth: expected a number, found "1_024"',
  ],
  [
    "a depth with a comma",
    depth('"1,024"'),
    ':3:22: error: memories[0].depth: expected a number, found "1,024"',
  ],
  ["a depth in binary", depth("0b100"), ':3:22: error: memories[0].depth: expected a number, found "0b100"'],
  ["a depth in quotes", depth('"8"'), ':3:22: error: memories[0].depth: expected a number, found "8"'],
  ["a depth that is true", depth("true"), ":3:22: error: memories[0].depth: expected a number, found true"],
  ["a depth in a list", depth("[8]"), ":3:22: error: memories[0].depth: expected a number, found a list"],
  [
    "a depth in a mapping",
    depth("{words: 8}"),
    ":3:22: error: memories[0].depth: expected a number, found a mapping",
  ],
  ["a depth as a size", depth("8 KiB"), ':3:22: error: memories[0].depth: expected a number, found "8 KiB"'],
  [
    "a width of zero",
    memories("name: a, depth: 8, width: 0, ports: 1r1w"),
    ":3:32: error: memories[0].width: expected at least 1, found 0",
  ],
  [
    "a width below zero",
    memories("name: a, depth: 8, width: -8, ports: 1r1w"),
    ":3:32: error: memories[0].width: expected at least 1, found -8",
  ],
  [
    "a width that is not a number",
    memories("name: a, depth: 8, width: .NaN, ports: 1r1w"),
    ":3:32: error: expected a finite number, found .NaN",
  ],
  [
    "a width with a unit",
    memories("name: a, depth: 8, width: 8 bits, ports: 1r1w"),
    ':3:32: error: memories[0].width: expected a number, found "8 bits"',
  ],
  [
    "a width of 2^53",
    memories("name: a, depth: 8, width: 9007199254740992, ports: 1r1w"),
    ":3:32: error: memories[0].width: expected at most 65,536, found 9007199254740992",
  ],
  [
    "no instances",
    memories(`${GOOD}, instances: 0`),
    ":3:59: error: memories[0].instances: expected at least 1, found 0",
  ],
  [
    "instances below zero",
    memories(`${GOOD}, instances: -1`),
    ":3:59: error: memories[0].instances: expected at least 1, found -1",
  ],
  [
    "an instance and a half",
    memories(`${GOOD}, instances: 1.5`),
    ":3:59: error: memories[0].instances: expected a whole number, found 1.5",
  ],
  [
    "a lane of no bits",
    memories(`${GOOD}, lane: 0`),
    ":3:54: error: memories[0].lane: expected at least 1, found 0",
  ],
  [
    "a lane that is not a number",
    memories(`${GOOD}, lane: .nan`),
    ":3:54: error: expected a finite number, found .nan",
  ],
  [
    "blocks in depth below zero",
    memories(`${GOOD}, max_cascade: -1`),
    ":3:61: error: memories[0].max_cascade: expected at least 1, found -1",
  ],
  [
    "a group of no members",
    memories(member("a", "lockstep: {group: g, members: 0}")),
    ":3:78: error: memories[0].lockstep.members: expected at least 1, found 0",
  ],
  [
    "blocks of 2^53",
    `available: {EBR: 9007199254740992}\n${memories(GOOD)}`,
    ":1:18: error: available.EBR: expected at most 9,007,199,254,740,991, found 9007199254740992",
  ],
  [
    "blocks that are not a number",
    `available: {EBR: .nan}\n${memories(GOOD)}`,
    ":1:18: error: expected a finite number, found .nan",
  ],
  [
    "an infinite weight",
    `weights: {EBR: .inf}\n${memories(GOOD)}`,
    ":1:16: error: expected a finite number, found .inf",
  ],
  [
    "a weight below zero",
    `weights: {EBR: -1}\n${memories(GOOD)}`,
    ":1:16: error: weights.EBR: expected more than 0, found -1",
  ],
  [
    "a cascade of none for all",
    `max_cascade: 0\n${memories(GOOD)}`,
    ":1:14: error: max_cascade: expected at least 1, found 0",
  ],
  [
    "small memories below zero and with a fraction",
    `small: {lut_depth: -1, register_bits: 1.5}\n${memories(GOOD)}`,
    ":1:20: error: small.lut_depth: expected at least 0, found -1",
    ":1:39: error: small.register_bits: expected a whole number, found 1.5",
  ],
  [
    "small memories of 2^53 bits",
    `small: {register_bits: 9007199254740992}\n${memories(GOOD)}`,
    ":1:24: error: small.register_bits: expected at most 9,007,199,254,740,991, found 9007199254740992",
  ],
  [
    "a cache of no ways",
    structures("kind: cache, name: l1, size: 16 KiB, ways: 0, line: 64 B, address: 38"),
    ":3:49: error: structures[0].ways: expected a whole number from 1 to 4096, found 0",
  ],
  [
    "a cache of three ways in a power of two",
    structures("kind: cache, name: l1, size: 16 KiB, ways: 3, line: 64 B, address: 38"),
    ':3:35: error: structures[0].size: expected a power of two of sets: 3 ways of 64 B lines in 16 KiB make 85.333, found "16 KiB"',
  ],
  [
    "a line of 48 bytes",
    structures("kind: cache, name: l1, size: 16 KiB, ways: 4, line: 48 B, address: 38"),
    ':3:58: error: structures[0].line: expected a power of two of bytes, for example 64 B, found "48 B"',
  ],
  [
    "an address that leaves no tag",
    structures("kind: cache, name: l1, size: 16 KiB, ways: 4, line: 64 B, address: 8"),
    ":3:73: error: structures[0].address: expected more bits than index 6 + offset 6, which leave no tag, found 8",
  ],
  [
    "a FIFO of no words",
    structures("kind: fifo, name: q, depth: 0, width: 36"),
    ":3:34: error: structures[0].depth: expected a whole number from 1 up, found 0",
  ],
  [
    "a FIFO of 2^53 words",
    structures("kind: fifo, name: q, depth: 9007199254740992, width: 36"),
    ":3:34: error: structures[0].depth: expected a whole number from 1 up, found 9007199254740992",
  ],
  [
    "read ports below zero",
    structures("kind: register-file, name: x, entries: 32, width: 64, reads: -1, writes: 1"),
    ":3:67: error: structures[0].reads: expected a whole number from 1 up, found -1",
  ],
  [
    "an infinite history",
    structures("kind: direction-predictor, name: g, scheme: global-history, history: .inf"),
    ":3:75: error: expected a finite number, found .inf",
  ],
  [
    "a history of more patterns than words",
    structures("kind: direction-predictor, name: g, scheme: global-history, history: 60"),
    ":3:75: error: structures[0].history: expected at most 24 bits of history, each pattern of which picks an entry, found 60",
  ],
];
