import { memories } from "../heads.js";
import { type Case, GOOD } from "./case.js";

export const FORM: readonly Case[] = [
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
