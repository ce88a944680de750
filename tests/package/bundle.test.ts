import { readdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { expect, test } from "vitest";

const folder = fileURLToPath(new URL("../../dist/cli/", import.meta.url));

/** What a built file imports, and what those files import; not what they import while they run. */
async function loadedWith(file: string): Promise<{ readonly files: string[]; readonly node: string[] }> {
  const { metafile } = await build({
    entryPoints: [file],
    absWorkingDir: folder,
    bundle: true,
    packages: "external",
    platform: "node",
    format: "esm",
    metafile: true,
    write: false,
    logLevel: "silent",
  });
  const files = new Set([file]);
  const node = new Set<string>();
  for (const loaded of files) {
    for (const { path, kind, external } of metafile.inputs[loaded]!.imports) {
      if (kind !== "import-statement") continue;
      (external ? node : files).add(path);
    }
  }
  return { files: [...files], node: [...node] };
}

test("packing loads few files, and no module of Node that takes long to load", async () => {
  const packs = readdirSync(folder).filter((file) => file.startsWith("pack-and-print"));
  expect(packs).toHaveLength(1);
  const start = await loadedWith("bin.js");
  const packing = await loadedWith(packs[0]!);
  expect(start.files.length).toBeGreaterThan(1);
  expect(new Set([...start.files, ...packing.files]).size).toBeLessThanOrEqual(5);
  expect(start.node).toContain("node:fs");
  const node = [...start.node, ...packing.node];
  for (const slow of ["crypto", "util", "stream"]) {
    expect(node).not.toContain(`node:${slow}`);
  }
});

test("the start itself loads neither the packer nor the reader of designs", async () => {
  const { files } = await loadedWith("bin.js");
  expect(files.filter((file) => /^(?:pack|input)/.test(file))).toEqual([]);
});
