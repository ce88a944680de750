import { accessSync, constants, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import Table from "cli-table3";
import fc from "fast-check";
import { rolldown } from "rolldown";
import { afterAll, describe, expect, test } from "vitest";
import config from "../../rolldown.config.js";
import { loadedBy } from "./loaded-by.js";

const path = (name: string) => fileURLToPath(new URL(name, import.meta.url));
const folder = mkdtempSync(join(tmpdir(), "ramtailor-bundle-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("the bundle of the command line", () => {
  test("is few files for packing, and needs no module of Node that takes long to load", () => {
    const { files, node } = loadedBy("pack", path("../../designs/weather-mast.yaml"));
    expect(files).toContain(path("../../dist/cli/bin.js"));
    expect(files.length).toBeLessThanOrEqual(5);
    for (const slow of ["crypto", "worker_threads", "child_process", "internal/modules/esm/module_job"]) {
      expect(node).not.toContain(`NativeModule ${slow}`);
    }
  });

  test("can be run as it is, so that what npx has linked still runs after the next build", () => {
    accessSync(path("../../dist/cli/bin.js"), constants.X_OK);
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

  test("draws tables as the library does, whatever measures their cells", async () => {
    const bundle = await rolldown({
      input: path("../../node_modules/cli-table3/index.js"),
      platform: "node",
      resolve: config.resolve!,
    });
    const { output } = await bundle.write({ dir: folder, format: "cjs" });
    await bundle.close();
    const chunk = output[0];
    expect(chunk.moduleIds.filter((id) => id.endsWith("/src/report/columns-of.ts"))).toHaveLength(1);
    expect(chunk.moduleIds.filter((id) => id.includes("/emoji-regex/"))).toEqual([]);
    const { default: Bundled } = (await import(pathToFileURL(join(folder, chunk.fileName)).href)) as {
      default: typeof Table;
    };

    const plain = fc.oneof(
      fc.stringMatching(/^[A-Za-z0-9_.,%-]{1,12}$/),
      fc.constantFrom("Ωμέγα", "块存储", "…", "€"),
    );
    const painted = plain.map((text) => `\u001b[31m${text}\u001b[39m`);
    const cell = fc.array(fc.oneof(plain, painted), { maxLength: 6 }).map((words) => words.join(" "));
    const column = fc.record({ width: fc.integer({ min: 3, max: 20 }), wrap: fc.boolean() });
    fc.assert(
      fc.property(column, column, fc.array(fc.tuple(cell, cell), { minLength: 1 }), (first, second, rows) => {
        const [drawn, expected] = [Bundled, Table].map((Library) => {
          const table = new Library({
            colWidths: [first.width, second.width],
            style: { head: [], border: [] },
          });
          for (const [one, other] of rows) {
            table.push([
              { content: one, wordWrap: first.wrap },
              { content: other, wordWrap: second.wrap },
            ]);
          }
          return table.toString();
        });
        expect(drawn).toBe(expected);
      }),
    );
  });
});
