import { spawnSync } from "node:child_process";
import { copyFileSync, cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";

/** The packed package, installed into an empty project, in the builds of tests/build-scripts. */

const path = (name: string) => fileURLToPath(new URL(name, import.meta.url));
const ROOT = path("../..");
const folder = mkdtempSync(join(tmpdir(), "installed-"));
afterAll(() => rmSync(folder, { recursive: true }));

function run(command: string, ...args: readonly string[]) {
  const { status, stdout, stderr } = spawnSync(command, args, {
    cwd: folder,
    encoding: "utf8",
    env: { ...process.env, PATH: `${join(folder, "node_modules/.bin")}:${process.env.PATH}` },
  });
  return { status, text: `${stdout}${stderr}` };
}

interface Packed {
  readonly filename: string;
  readonly unpackedSize: number;
  readonly files: readonly { readonly path: string; readonly size: number }[];
}
let packed: Packed;

beforeAll(() => {
  cpSync(path("../build-scripts"), folder, { recursive: true });
  // What stands in dist/ is packed as it is: building it anew would take it from under other tests.
  const args = ["pack", ROOT, "--ignore-scripts", "--json", "--pack-destination", folder];
  const { stdout } = spawnSync("npm", args, { cwd: folder, encoding: "utf8" });
  packed = (JSON.parse(stdout) as Packed[])[0]!;
  const installed = run(
    "npm",
    "install",
    "--prefer-offline",
    "--no-audit",
    "--no-fund",
    join(folder, packed.filename),
  );
  expect(installed.status, installed.text).toBe(0);
}, 240_000);

/** The design as it stands, or with a memory that takes a block more. */
function design(change: "as it is" | "grown" | "wrong"): void {
  const file = join(folder, "soc.yaml");
  copyFileSync(path("../build-scripts/soc.yaml"), file);
  const text = readFileSync(file, "utf8");
  if (change === "grown") writeFileSync(file, text.replace("depth: 1024", "depth: 1025"));
  if (change === "wrong") writeFileSync(file, text.replace("depth: 1024", "dept: 1024"));
}

describe("the package", () => {
  it("takes less than 2 MB unpacked, without what a page is bundled to", () => {
    const size = packed.files
      .filter((file) => !/^dist\/page\//.test(file.path))
      .reduce((sum, file) => sum + file.size, 0);
    expect(size).toBeGreaterThan(100_000);
    expect(size).toBeLessThan(2_000_000);
  });

  it("holds the library with its declarations, the program, devices and designs, and no sources or tests", () => {
    const paths = packed.files.map((file) => file.path);
    for (const needed of [
      "dist/index.js",
      "dist/index.d.ts",
      "dist/cli/bin.js",
      "dist/devices.json",
      "devices/lattice-ecp5.yaml",
      "designs/dish-controller.yaml",
      "README.md",
    ]) {
      expect(paths).toContain(needed);
    }
    expect(paths.filter((name) => /^(src|tests|docs|\.ci)\/|(?<!\.d)\.ts$/.test(name))).toEqual([]);
  });

  it("runs nothing when it is installed", () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
    for (const name of ["preinstall", "install", "postinstall"]) expect(scripts).not.toHaveProperty(name);
  });
});

const BUILDS: readonly (readonly [
  what: string,
  steps: readonly (readonly [string, ...string[]])[],
  made: string | null,
])[] = [
  ["make", [["make", "-s"]], "soc.bit"],
  [
    "CMake",
    [
      ["cmake", "-B", "build"],
      ["cmake", "--build", "build"],
    ],
    "build/memories.stamp",
  ],
  ["an npm script", [["npm", "run", "build"]], null],
  ["TypeScript", [["node", "guard.js", "soc.yaml", "3"]], "plan.json"],
];

describe.each(BUILDS)("a build with %s", (what, steps, made) => {
  beforeAll(() => {
    if (what !== "TypeScript") return;
    const args = ["-p", ".", "--typeRoots", join(ROOT, "node_modules/@types")];
    const compiled = run(process.execPath, join(ROOT, "node_modules/typescript/bin/tsc"), ...args);
    expect(compiled.status, compiled.text).toBe(0);
  }, 120_000);

  const build = () => {
    let last = { status: 0 as number | null, text: "" };
    for (const [command, ...args] of steps) {
      last = run(command, ...args);
      if (last.status !== 0) break;
    }
    return last;
  };
  const there = () => made !== null && existsSync(join(folder, made));

  it("fails where a change costs a block, and where the design is wrong", () => {
    design("grown");
    const grown = build();
    expect(grown.status, grown.text).not.toBe(0);
    expect(grown.text).toMatch(/4/);
    expect(there()).toBe(false);
    design("wrong");
    const wrong = build();
    expect(wrong.status, wrong.text).not.toBe(0);
    expect(wrong.text).toMatch(/soc\.yaml:5:\d+: error: .*"dept"; did you mean "depth"\?/);
    expect(there()).toBe(false);
  });

  it("goes on where the blocks are kept", () => {
    design("as it is");
    const kept = build();
    expect(kept.status, kept.text).toBe(0);
    expect(there()).toBe(made !== null);
  });
});
