import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { editDesign, readDesign } from "../../src/index.js";
import { parseSize } from "../../src/model/units.js";
import { fieldGroups } from "../../src/page/worker/fields.js";

const textOf = (design: string) =>
  readFileSync(new URL(`../../designs/${design}.yaml`, import.meta.url), "utf8");

type Entry = Readonly<Record<string, unknown>> & { readonly name: string };

describe.each(["dish-controller", "correlator-array", "weather-mast"])("the controls of %s", (design) => {
  const text = textOf(design);
  const data = parse(text) as Readonly<Record<"memories" | "structures", readonly Entry[]>>;
  const fields = new Map(
    fieldGroups(text)!.flatMap((group) => group.fields.map((field) => [field.path, field])),
  );

  it("have every number and size that is written", () => {
    const numbers = [...data.structures, ...data.memories].flatMap((entry) =>
      Object.entries(entry).flatMap(([key, value]) => {
        const nested =
          typeof value === "object" && !Array.isArray(value) ? Object.entries(value as object) : [];
        const number = typeof value === "number" || (typeof value === "string" && parseSize(value) !== null);
        return [
          ...(number || key === "ports" ? [[`${entry.name}.${key}`, value]] : []),
          ...nested.map(([inner, each]) => [`${entry.name}.${key}.${inner}`, each]),
        ] as [string, unknown][];
      }),
    );
    expect(numbers.length).toBeGreaterThan(15);
    for (const [path, value] of numbers) expect(fields.get(path)?.value, path).toBe(value);
  });

  it("are keys that editDesign takes, and written again as they are leave the design as it is", () => {
    const before = readDesign({ file: "design.yaml", text });
    if (!before.ok) throw new Error("the design has errors");
    for (const { path, label, value } of fields.values()) {
      if (label === "sets" || value === null) continue;
      const edited = editDesign(text, [{ path, value }]);
      if (!edited.ok) throw new Error(edited.problem);
      const after = readDesign({ file: "design.yaml", text: edited.text });
      if (!after.ok) throw new Error(`${path}: ${after.diagnostics[0]!.message}`);
      const plain = (requests: typeof after.design.requests) => requests.map(({ source, ...rest }) => rest);
      expect(plain(after.design.requests), path).toEqual(plain(before.design.requests));
    }
  });
});
