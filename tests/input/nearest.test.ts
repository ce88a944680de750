import { expect, test } from "vitest";
import { nearestName } from "../../src/input/index.js";

const KEYS = ["depth", "width", "ports", "lane", "read_width"];

test.each([
  ["widht", "width"],
  ["WIDTH", "width"],
  ["dept", "depth"],
  ["lanes", "lane"],
  ["readwidth", "read_width"],
])("%s is near %s", (word, name) => {
  expect(nearestName(word, KEYS)).toBe(name);
});

test.each(["temperature", "xyz", "a", "", "l".repeat(1000)])("%s is near none", (word) => {
  expect(nearestName(word, KEYS)).toBeNull();
});

test("of names equally near, the first", () => {
  expect(nearestName("bat", ["cat", "hat"])).toBe("cat");
});

test("letters in another order are one slip", () => {
  expect(nearestName("lur", ["fifo", "lru", "tree-plru"])).toBe("lru");
  expect(nearestName("sv93", ["sv32", "sv39"])).toBe("sv39");
});

test("the beginning of one name alone stands for it where none is near", () => {
  expect(nearestName("--out", ["--output", "--language"])).toBe("--output");
  expect(nearestName("read", ["read_width", "read_delay"])).toBeNull();
  expect(nearestName("re", ["read_width", "depth"])).toBeNull();
});

test("no names, no nearest", () => {
  expect(nearestName("depth", [])).toBeNull();
});
