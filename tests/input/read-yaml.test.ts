import { expect, test } from "vitest";
import { z } from "zod";
import { readYaml } from "../../src/input/index.js";
import { heads } from "./heads.js";

const schema = z.strictObject({
  unit: z.enum(["bit", "byte"]).optional(),
  counts: z.record(z.string().regex(/^[a-z]+$/, { error: "expected small letters" }), z.number()).optional(),
  list: z
    .array(
      z.strictObject({ a: z.number(), b: z.union([z.string(), z.strictObject({ c: z.int() })]).optional() }),
    )
    .optional(),
  shape: z
    .discriminatedUnion("kind", [
      z.strictObject({ kind: z.literal("flat"), size: z.number() }),
      z.strictObject({ kind: z.literal("deep"), level: z.number() }),
    ])
    .optional(),
});

function read(text: string) {
  const source = { file: "f.yaml", text };
  const result = readYaml(source, schema);
  return result.ok ? result : { ok: false as const, heads: heads(source, result.diagnostics) };
}

function place(
  text: string,
  path: readonly PropertyKey[],
  of: "rangeOf" | "rangeOfKey" = "rangeOf",
): string | null {
  const result = read(text);
  if (!result.ok) throw new Error(result.heads.join("\n"));
  const range = result[of](path);
  return range === null ? null : text.slice(range.start, range.end);
}

const TEXT =
  "unit: byte # eight bits\ncounts: {x: 1, yy: 22}\nlist:\n  - a: 3\n    b: &b {c: 4}\n  - a: 5\n    b: *b\n";

test.each([
  [["unit"], "byte"],
  [["counts"], "{x: 1, yy: 22}"],
  [["counts", "yy"], "22"],
  [["list", 0, "a"], "3"],
  [["list", 1], "a: 5\n    b: *b"],
  [["list", 1, "b"], "*b"],
  [["list", 1, "b", "c"], "4"],
])("the value at %j is where it is written", (path, expected) => {
  expect(place(TEXT, path)).toBe(expected);
});

test.each([
  [["unit"], "unit"],
  [["counts", "yy"], "yy"],
  [["list", 0], "a: 3\n    b: &b {c: 4}"],
])("the key at %j is where it is written", (path, expected) => {
  expect(place(TEXT, path, "rangeOfKey")).toBe(expected);
});

test.each([[["nothing"]], [["list", 7]], [["unit", "x"]]])("there is no place for %j", (path) => {
  expect(place(TEXT, path)).toBeNull();
  expect(place(TEXT, path, "rangeOfKey")).toBeNull();
});

test("a key that looks like a number is text", () => {
  expect(read("counts: {1: 2}\n")).toEqual({
    ok: false,
    heads: ['f.yaml:1:10: error: counts.1: in the key, expected small letters, found "1"'],
  });
});

test("a value of the type of one branch of a union is held against that branch", () => {
  expect(read("list: [{a: 1, b: {c: 1.5, d: 2}}, {a: 1, b: 7}]\n")).toEqual({
    ok: false,
    heads: [
      "f.yaml:1:22: error: list[0].b.c: expected a whole number, found 1.5",
      'f.yaml:1:27: error: list[0].b: unknown key "d"; known keys: c',
      "f.yaml:1:45: error: list[1].b: expected text or a mapping, found 7",
    ],
  });
});

test("a union told apart by a key names the nearest of its words", () => {
  expect(read("shape: {kind: flet, size: 1}\n")).toEqual({
    ok: false,
    heads: ['f.yaml:1:15: error: shape.kind: expected flat or deep, found "flet"; did you mean "flat"?'],
  });
  expect(read("shape: {kind: deep, size: 1}\n")).toEqual({
    ok: false,
    heads: [
      "f.yaml:1:8: error: shape.level is missing, expected a number",
      'f.yaml:1:21: error: shape: unknown key "size"; known keys: kind, level',
    ],
  });
});

test("names of JavaScript's own are keys like any other", () => {
  expect(read("__proto__: {unit: bit}\nconstructor: 1\n<<: {unit: bit}\n")).toEqual({
    ok: false,
    heads: [
      'f.yaml:1:1: error: unknown key "__proto__"; known keys: unit, counts, list, shape',
      'f.yaml:2:1: error: unknown key "constructor"; known keys: unit, counts, list, shape',
      'f.yaml:3:1: error: unknown key "<<"; known keys: unit, counts, list, shape',
    ],
  });
});

test("more than a thousand aliases are refused at the first too many", () => {
  const uses = Array.from({ length: 1001 }, () => "*n").join(",");
  expect(read(`list: [{a: &n 1}]\nmore: [${uses}]\n`)).toEqual({
    ok: false,
    heads: [`f.yaml:2:${8 + 3 * 1000}: error: expected at most 1000 aliases, found more`],
  });
});

test("aliases of aliases that multiply are refused", () => {
  const lists = ["a", "b", "c", "d", "e", "f"].map((name, i, names) => {
    const of = i === 0 ? "x" : `*${names[i - 1]}`;
    return `${name}: &${name} [${Array.from({ length: 12 }, () => of).join(",")}]`;
  });
  expect(read(lists.join("\n"))).toEqual({
    ok: false,
    heads: ["f.yaml: error: expected at most 1000 uses of an anchor, found more"],
  });
});

test("nesting is refused without exhausting the stack", () => {
  for (const open of ["[", "{a: ", "- ", "? "]) {
    const result = read(open.repeat(20_000));
    expect(result.ok ? [] : result.heads).toHaveLength(1);
    expect(result.ok ? "" : result.heads[0]).toContain("nested more than 100 deep");
  }
}, 60_000);
