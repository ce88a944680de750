import { describe, expect, it } from "vitest";
import { looksLikePlan, readPlan } from "../../src/input/plan.js";
import { planJson } from "../../src/report/json.js";
import { plan, REGISTER_FILE } from "../report/plans.js";
import { heads } from "./heads.js";

const GOOD = planJson(plan({ memories: [REGISTER_FILE] }));

/** The good text with one place changed; the place must be there. */
function changed(from: string, to: string): string {
  expect(GOOD).toContain(from);
  return GOOD.replace(from, () => to);
}

function errors(text: string): string[] {
  const source = { file: "p.json", text };
  const read = readPlan(source);
  return read.ok ? [] : heads(source, read.diagnostics);
}

describe("a saved plan", () => {
  it("is read as it was written", () => {
    const read = readPlan({ file: "p.json", text: GOOD });
    expect(read).toEqual({ ok: true, plan: plan({ memories: [REGISTER_FILE] }) });
  });

  it.each([
    [
      "another version",
      '"ramtailor-plan/1"',
      '"ramtailor-plan/2"',
      ':2:13: error: format: expected "ramtailor-plan/1", found "ramtailor-plan/2"; it was saved by another version: pack the design anew',
    ],
    [
      "another report",
      '"ramtailor-plan/1"',
      '"ramtailor-check/1"',
      ':2:13: error: format: expected "ramtailor-plan/1", found "ramtailor-check/1"; a saved plan is what pack writes with --json',
    ],
    [
      "a misspelt key",
      '"device":',
      '"devise":',
      ":1:1: error: device is missing, expected text",
      ':4:3: error: unknown key "devise"; did you mean "device"?',
    ],
    [
      "a misspelt status",
      '"optimal"',
      '"optimum"',
      ':5:13: error: status: expected optimal, feasible or over-budget, found "optimum"; did you mean "optimal"?',
    ],
    [
      "blocks below zero",
      '"BLK": 10',
      '"BLK": -10',
      ":@:14: error: totals.available.BLK: expected at least 0, found -10",
    ],
    [
      "a count in words",
      '"copies": 2',
      '"copies": "two"',
      ':@:17: error: memories[0].copies: expected a number, found "two"',
    ],
    [
      "an interval the wrong way round",
      '"rows": [0, 1023]',
      '"rows": [1023, 0]',
      ":@:19: error: blocks[0].tenants[0].rows: expected the first, then the last, both included, found a list",
    ],
    [
      "an interval of three",
      '"rows": [0, 1023]',
      '"rows": [0, 5, 9]',
      ":@:19: error: blocks[0].tenants[0].rows: expected a list of at most 2 entries, found a list",
    ],
    [
      "a shape that is none",
      '"shape": "1024x18"',
      '"shape": "1024 by 18"',
      ':@:20: error: blocks[0].tenants[0].shape: expected a shape such as 1024x18, found "1024 by 18"',
    ],
    [
      "more than a double holds",
      '"registers": 0',
      '"registers": 1e999',
      ":@:18: error: totals.registers: expected a number, found Infinity",
    ],
  ])("is refused with the place: %s", (_, from, to, ...expected) => {
    const text = changed(from, to);
    const line = text.slice(0, text.indexOf(to)).split("\n").length;
    expect(errors(text)).toEqual(expected.map((each) => `p.json${each.replace("@", String(line))}`));
  });

  it("is refused where it is cut short", () => {
    const [first] = errors(GOOD.slice(0, 200));
    expect(first).toMatch(/^p\.json:\d+:\d+: error: /);
  });

  it("is refused without a place where it is too long to look through", () => {
    const long = changed('"optimal"', '"optimum"').replace("{", `{${" ".repeat(5 * 2 ** 20)}`);
    expect(errors(long)).toEqual([
      'p.json: error: status: expected optimal, feasible or over-budget, found "optimum"; did you mean "optimal"?',
    ]);
  });
});

describe("a plan is told from a design", () => {
  it.each([
    [GOOD, true],
    [GOOD.slice(0, 200), true],
    ['{ "totals": {} }', true],
    ["design: d\nmemories: []\n", false],
    ['{ "design": "d", "memories": [] }', false],
    ["{ design: d, memories: [] }", false],
    ["", false],
    ["# format: ramtailor-plan/1\n", false],
    ["[]", false],
  ])("by its content: %.30j", (text, expected) => {
    expect(looksLikePlan(text)).toBe(expected);
  });
});
