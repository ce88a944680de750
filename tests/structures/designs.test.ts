import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import type { MemoryRequest } from "../../src/model/index.js";
import { allBits, build, problems, type Written } from "./build.js";

const folder = new URL("../../designs/", import.meta.url);

function structuresOf(file: string): Written[] {
  return parse(readFileSync(new URL(file, folder), "utf8")).structures;
}

function requestsOf(file: string): MemoryRequest[] {
  return structuresOf(file).flatMap((written) => build(written).requests);
}

describe.each(readdirSync(folder).filter((file) => file.endsWith(".yaml")))("designs/%s", (file) => {
  it("is named as its file", () => {
    expect(parse(readFileSync(new URL(file, folder), "utf8")).design).toBe(file.replace(".yaml", ""));
  });

  it.each(structuresOf(file).map((written) => [written.name, written] as const))(
    "%s is legal",
    (_, written) => {
      expect(problems(written)).toEqual([]);
    },
  );

  it("derives memories of different names, each with its formula", () => {
    const requests = requestsOf(file);
    expect(new Set(requests.map((r) => r.name)).size).toBe(requests.length);
    expect(requests.filter((r) => r.formula === null)).toEqual([]);
  });
});

describe("the demonstration designs", () => {
  it("warn of nothing but fully associative TLBs", () => {
    const warned = ["weather-mast.yaml", "dish-controller.yaml", "correlator-array.yaml"]
      .flatMap(structuresOf)
      .filter((written) => build(written).warnings.length > 0);
    expect(warned.map((written) => written.name)).toEqual(["itlb", "dtlb"]);
  });

  // 208 blocks of 18,432 bits (device file): what is not pinned elsewhere has to leave room for padding.
  it("the dish controller asks for less than nine tenths of its blocks' bits", () => {
    const inBlocks = requestsOf("dish-controller.yaml").filter((r) => r.homes === null && r.read === "sync");
    expect(allBits(inBlocks)).toBeLessThan(0.9 * 208 * 18_432);
  });
});
