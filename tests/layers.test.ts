import { readFileSync } from "node:fs";
import { isBuiltin } from "node:module";
import { describe, expect, it } from "vitest";
import { circleIn, type Import, importsUnder } from "./imports.js";

/** The folders of src/ from the ground up. Those of one row do not import each other. */
const LAYERS: readonly (readonly string[])[] = [
  ["model"],
  ["structures"],
  ["input"],
  ["candidates"],
  ["program"],
  ["solve"],
  ["plan"],
  ["advise"],
  ["report", "rtl", "scan"],
  ["page"],
  ["index.ts"],
  ["cli"],
];

const isCheck = (file: string) => /^plan\/check[^/]*\.ts$/.test(file);

/** Why an import between files of src/ is against the order of the layers, or null where it is not. */
function fault({ from, to }: Import): string | null {
  const [layer, other] = [from, to].map((file) => file.split("/")[0]!) as [string, string];
  const [place, otherPlace] = [layer, other].map((name) => LAYERS.findIndex((row) => row.includes(name)));
  if (place === -1) return `${layer} is no layer`;
  if (otherPlace === -1) return `${other} is no layer`;
  if (isCheck(from) && other !== "model" && !isCheck(to)) return "the checker imports the model alone";
  if (layer === other) return null;
  return otherPlace! < place! ? null : `${other} does not stand before ${layer}`;
}

const { files, libraries } = importsUnder(new URL("../src/", import.meta.url));

describe("the layers of src/", () => {
  it("import only what stands before them", () => {
    expect(files.length).toBeGreaterThan(100);
    const faults = files.map((each) => ({ ...each, fault: fault(each) }));
    expect(faults.filter((each) => each.fault !== null)).toEqual([]);
  });

  it("have no circle of imports", () => {
    expect(circleIn(files)).toBeNull();
  });

  it("import no library but those that package.json installs with them", () => {
    const text = readFileSync(new URL("../package.json", import.meta.url), "utf8");
    const { dependencies, devDependencies } = JSON.parse(text) as Record<
      "dependencies" | "devDependencies",
      Record<string, string>
    >;
    // A library may be imported in part: `csv-stringify/sync`.
    const packageOf = (name: string) => /^(?:@[^/]+\/)?[^/]+/.exec(name)![0];
    const declared = (name: string) => isBuiltin(name) || Object.hasOwn(dependencies, packageOf(name));
    expect(libraries.length).toBeGreaterThan(10);
    // The build puts what the page imports into the page, and makes its virtual modules.
    const built = ({ from, to }: Import) =>
      from.startsWith("page/") &&
      (to.startsWith("virtual:") || Object.hasOwn(devDependencies, packageOf(to)));
    expect(libraries.filter((each) => !declared(each.to) && !built(each))).toEqual([]);
  });
});

describe("the rules, on invented imports", () => {
  it.each([
    ["model/a.ts", "plan/b.ts", "plan does not stand before model"],
    ["report/a.ts", "rtl/b.ts", "rtl does not stand before report"],
    ["rtl/a.ts", "report/b.ts", "report does not stand before rtl"],
    ["report/a.ts", "cli/b.ts", "cli does not stand before report"],
    ["plan/a.ts", "index.ts", "index.ts does not stand before plan"],
    ["index.ts", "cli/a.ts", "cli does not stand before index.ts"],
    ["plan/check-a.ts", "plan/place.ts", "the checker imports the model alone"],
    ["plan/check.ts", "candidates/index.ts", "the checker imports the model alone"],
    ["report/a.ts", "page/b.ts", "page does not stand before report"],
    ["extra/a.ts", "model/b.ts", "extra is no layer"],
    ["plan/a.ts", "../tests/b.ts", ".. is no layer"],
  ])("%s may not import %s", (from, to, words) => {
    expect(fault({ from, to })).toBe(words);
  });

  it.each([
    ["plan/a.ts", "model/b.ts"],
    ["plan/a.ts", "plan/check.ts"],
    ["plan/check-a.ts", "plan/check-b.ts"],
    ["plan/check.ts", "model/index.ts"],
    ["index.ts", "report/index.ts"],
    ["cli/a.ts", "index.ts"],
    ["page/a.tsx", "report/b.ts"],
  ])("%s may import %s", (from, to) => {
    expect(fault({ from, to })).toBeNull();
  });

  it("find a circle", () => {
    const circle = [
      { from: "a.ts", to: "b.ts" },
      { from: "b.ts", to: "c.ts" },
      { from: "c.ts", to: "b.ts" },
    ];
    expect(circleIn(circle)).toEqual(["b.ts", "c.ts", "b.ts"]);
    expect(circleIn(circle.slice(0, 2))).toBeNull();
  });
});
