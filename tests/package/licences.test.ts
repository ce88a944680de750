import { readFileSync } from "node:fs";
import { expect, test } from "vitest";

/** Licences that may come with the program: they ask for no more than that their text goes with the code. */
const ALLOWED = ["MIT", "ISC", "BSD-3-Clause", "Unlicense"];

interface Locked {
  readonly version: string;
  readonly resolved?: string;
  readonly integrity?: string;
  readonly license?: string;
  readonly dev?: boolean;
  readonly optional?: boolean;
  readonly hasInstallScript?: boolean;
}

const read = (name: string) => readFileSync(new URL(`../../${name}`, import.meta.url), "utf8");
const { packages } = JSON.parse(read("package-lock.json")) as { packages: Record<string, Locked> };
const all = Object.entries(packages).filter(([path]) => path !== "");
const shipped = all.filter(([, { dev }]) => dev !== true);
const nameOf = (path: string) => path.split("node_modules/").at(-1)!;

test("every package is pinned with its hash, and none is from elsewhere than a registry", () => {
  expect(all.length).toBeGreaterThan(50);
  for (const [path, { version, resolved, integrity }] of all) {
    expect(version, path).toMatch(/^\d+\.\d+\.\d+/);
    // Left out: the registry in use, for which the hash vouches.
    expect(resolved ?? "https://registry.npmjs.org/", path).toMatch(/^https:\/\/registry\.npmjs\.org\//);
    expect(integrity, path).toMatch(/^sha512-/);
  }
});

test("what comes with the program runs nothing when it is installed, and has a licence that may", () => {
  expect(shipped.length).toBeGreaterThanOrEqual(12);
  for (const [path, { hasInstallScript, license }] of shipped) {
    expect(hasInstallScript ?? false, path).toBe(false);
    expect(ALLOWED, path).toContain(license);
  }
});

test("the licences are listed in DEVELOPERS.md", () => {
  const rows = shipped.map(([path, { license }]) => `| ${nameOf(path)} | ${license} |`).sort();
  const listed = read("DEVELOPERS.md")
    .split("\n")
    .filter((line) => ALLOWED.some((licence) => new RegExp(`^\\| \\S+ +\\| ${licence} +\\|$`).test(line)))
    .map((line) => line.replace(/ +\|/g, " |"))
    .sort();
  expect(listed).toEqual([...new Set(rows)]);
});
