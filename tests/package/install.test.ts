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

/** The design as it stands, which takes three blocks; with a memory that takes some more; or with a mistake in it. */
const DESIGNS = {
  "as it is": "depth: 1024",
  "one block more": "depth: 1025",
  "two blocks more": "depth: 2049",
  "three blocks more": "depth: 3073",
  wrong: "dept: 1024",
};
function design(change: keyof typeof DESIGNS): void {
  const file = join(folder, "soc.yaml");
  copyFileSync(path("../build-scripts/soc.yaml"), file);
  writeFileSync(file, readFileSync(file, "utf8").replace(DESIGNS["as it is"], DESIGNS[change]));
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

  it("brings its manual page where it is installed globally", () => {
    const args = ["--prefer-offline", "--no-audit", "--no-fund", "--ignore-scripts"];
    const prefix = join(folder, "global");
    const installed = run("npm", "install", "-g", "--prefix", prefix, ...args, join(folder, packed.filename));
    expect(installed.status, installed.text).toBe(0);
    expect(readFileSync(join(prefix, "share/man/man1/ramtailor.1"), "utf8")).toContain("ramtailor pack");
  }, 120_000);

  it("runs nothing when it is installed", () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
    for (const name of ["preinstall", "install", "postinstall"]) expect(scripts).not.toHaveProperty(name);
  });
});

type Steps = readonly (readonly [string, ...string[]])[];
const BUILDS: readonly (readonly [what: string, accept: Steps, steps: Steps, made: string | null])[] = [
  ["make", [["make", "-s", "accept"]], [["make", "-s"]], "soc.bit"],
  [
    "CMake",
    [
      ["cmake", "-B", "build"],
      ["cmake", "--build", "build", "--target", "accept"],
    ],
    [
      ["cmake", "-B", "build"],
      ["cmake", "--build", "build"],
    ],
    "build/memories.stamp",
  ],
  ["an npm script", [["npm", "run", "accept"]], [["npm", "run", "build"]], null],
  [
    "TypeScript",
    [["node", "guard.js", "soc.yaml", "accept"]],
    [["node", "guard.js", "soc.yaml", "5", "1"]],
    "plan.json",
  ],
];

describe.each(BUILDS)("a build with %s", (what, accept, steps, made) => {
  beforeAll(() => {
    if (what !== "TypeScript") return;
    const args = ["-p", ".", "--typeRoots", join(ROOT, "node_modules/@types")];
    const compiled = run(process.execPath, join(ROOT, "node_modules/typescript/bin/tsc"), ...args);
    expect(compiled.status, compiled.text).toBe(0);
  }, 120_000);

  const all = (steps: Steps) => {
    let last = { status: 0 as number | null, text: "" };
    for (const [command, ...args] of steps) {
      last = run(command, ...args);
      if (last.status !== 0) break;
    }
    return last;
  };
  const there = () => made !== null && existsSync(join(folder, made));
  const build = () => {
    if (made !== null) rmSync(join(folder, made), { force: true });
    // What make has of an earlier build may be as new as the design, by the clock of the file system.
    rmSync(join(folder, "memories.json"), { force: true });
    return all(steps);
  };
  const fails = (change: keyof typeof DESIGNS, words: RegExp) => {
    design(change);
    const { status, text } = build();
    expect(status, text).not.toBe(0);
    expect(text).toMatch(words);
    expect(there()).toBe(false);
  };
  const passes = (change: keyof typeof DESIGNS) => {
    design(change);
    const { status, text } = build();
    expect(status, text).toBe(0);
    expect(there()).toBe(made !== null);
  };
  const accepted = (change: keyof typeof DESIGNS) => {
    design(change);
    rmSync(join(folder, "accepted.json"), { force: true });
    const { status, text } = all(accept);
    expect(status, text).toBe(0);
  };

  it("fails where the design is over its limit or wrong", () => {
    accepted("three blocks more");
    fails("three blocks more", /6 blocks/);
    fails("wrong", /soc\.yaml:5:\d+: error: .*"dept"; did you mean "depth"\?/);
  });

  it("fails where a change costs more blocks than are allowed, until it is accepted", () => {
    accepted("as it is");
    fails("two blocks more", /Failed: EBR gained 2 blocks, 1 allowed\./);
    accepted("two blocks more");
    passes("two blocks more");
  });

  it("goes on where a change costs no more than is allowed", () => {
    accepted("as it is");
    passes("as it is");
    passes("one block more");
  });
});
