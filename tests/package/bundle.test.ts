import { basename } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { loadedBy } from "./loaded-by.js";

const path = (name: string) => fileURLToPath(new URL(name, import.meta.url));

describe("the bundle of the command line", () => {
  test("is few files for packing, and needs no module of Node that takes long to load", () => {
    const { files, node } = loadedBy("pack", path("../../designs/weather-mast.yaml"));
    expect(files).toContain(path("../../dist/cli/bin.js"));
    expect(files.length).toBeLessThanOrEqual(5);
    for (const slow of ["crypto", "worker_threads", "child_process", "internal/modules/esm/module_job"]) {
      expect(node).not.toContain(`NativeModule ${slow}`);
    }
  });

  test("loads threads where an engine runs", () => {
    const design = path("../../designs/dish-controller.yaml");
    expect(loadedBy("pack", design, "--engine", "highs").node).toContain("NativeModule worker_threads");
  });

  test("loads neither the packer nor the reader of designs at the start", () => {
    const names = loadedBy("--version").files.map((file) => basename(file));
    expect(names).toContain("bin.js");
    expect(names.filter((name) => /^(?:pack|input)/.test(name))).toEqual([]);
  });
});
