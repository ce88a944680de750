import { memories, structures } from "../heads.js";
import { CACHE, type Case } from "./case.js";

export const STRUCTURES: readonly Case[] = [
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
