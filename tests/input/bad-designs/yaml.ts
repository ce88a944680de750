import { memories } from "../heads.js";
import { type Case, GOOD } from "./case.js";

export const YAML: readonly Case[] = [
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
  ["a tag", memories(`${GOOD}, lane: !bits 8`), ":3:54: error: expected no tag, found !bits"],
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
