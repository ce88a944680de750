import { memories } from "../heads.js";
import { type Case, GOOD } from "./case.js";

export const ALIASES: readonly Case[] = [
  [
    "aliases that multiply",
    `design: d\na0: &a0 [x, x]\n${Array.from({ length: 12 }, (_, i) => `a${i + 1}: &a${i + 1} [*a${i}, *a${i}, *a${i}]\n`).join("")}`,
    ": error: expected at most 1000 uses of an anchor, found more",
  ],
  [
    "more than a thousand aliases",
    `design: &d d\nlist: [${Array.from({ length: 1001 }, () => "*d").join(", ")}]\n`,
    ":2:4008: error: expected at most 1000 aliases, found more",
  ],
  ["an alias as key", "design: &d d\n*d : 1\n", ":2:1: error: expected a name as key, found another thing"],
  [
    "a loop through two anchors",
    "design: &a {b: &b {c: *a}}\n",
    ":1:23: error: alias *a stands inside itself",
  ],
  ["a loop through lists", "memories: &a [[[*a]]]\n", ":1:17: error: alias *a stands inside itself"],
  ["an alias before its anchor", "design: *a\nmemories: &a []\n", ":1:9: error: alias *a names no anchor"],
  [
    "a merge key, which YAML 1.2 does not have",
    memories("<<: {depth: 8}, name: a, width: 8, ports: 1r1w"),
    ":3:5: error: memories[0].depth is missing, expected a number",
    ':3:6: error: memories[0]: unknown key "<<"; known keys: name, depth, width, ports, instances, lane, read, clocks, lockstep, exclusive, realisation, in, pump, max_cascade, initial, contents, collision, read_width, write_width',
  ],
  [
    "a tag that would include a file: there are no includes",
    "design: d\nmemories: !include d.yaml\n",
    ":2:11: error: expected no tag, found !include",
  ],
  [
    "a key that would include the file itself: there are no includes",
    `include: d.yaml\n${memories(GOOD)}`,
    ':1:1: error: unknown key "include"; known keys: design, device, clock, available, weights, max_cascade, small, memories, structures',
  ],
  [
    "a tag of a language",
    "design: !!js/function 'x'\nmemories: []\n",
    ":1:9: error: expected no tag, found tag:yaml.org,2002:js/function",
  ],
  [
    "a tab as indentation",
    "design: d\nmemories:\n\t- {name: a}\n",
    ":3:1: error: expected spaces as indentation, found a tab",
  ],
  [
    "a quote that is not closed",
    'design: "d\nmemories: []\n',
    ':3:1: error: expected a closing ", found none',
  ],
  [
    "a control character",
    "design: d\u0007\nmemories: []\n",
    ':1:9: error: design: expected letters, digits, _ and - only, found "d\\u0007"',
  ],
  [
    "a colon that is missing",
    "design d\nmemories: []\n",
    ":1:1: error: expected a key, a colon and a value, found a text over several lines",
  ],
];
