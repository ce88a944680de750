import { memories, structures } from "../heads.js";
import type { Case } from "./case.js";

export const LIMITS: readonly Case[] = [
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
