import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { designSchema } from "../../src/input/design-schema.js";
import { deviceFileSchema } from "../../src/input/device-schema.js";
import { jsonSchema } from "../../src/input/json-schema.js";
import { SCHEMA_NAMES } from "../../src/input/schema-names.js";
import {
  FREQUENCY_PATTERN,
  PORTS_PATTERN,
  parseFrequency,
  parsePorts,
  parseShape,
  parseSize,
  readers,
  SHAPE_PATTERN,
  SIZE_PATTERN,
} from "../../src/model/index.js";
import { follows } from "../support/json-schema.js";

const FOLDERS = { design: "designs", device: "devices" } as const;
const SCHEMAS = { design: designSchema, device: deviceFileSchema() } as const;

function filesOf(sort: keyof typeof FOLDERS): { readonly file: string; readonly data: unknown }[] {
  const folder = new URL(`../../${FOLDERS[sort]}/`, import.meta.url);
  return readdirSync(folder).map((file) => ({
    file,
    data: parse(readFileSync(new URL(file, folder), "utf8")),
  }));
}

/** Every schema of a key in a JSON Schema, with the path to it. */
function keysIn(schema: unknown, path = ""): [path: string, schema: Record<string, unknown>][] {
  if (typeof schema !== "object" || schema === null) return [];
  if (Array.isArray(schema)) return schema.flatMap((each, index) => keysIn(each, `${path}[${index}]`));
  return Object.entries(schema).flatMap(([word, inner]) => {
    if (word !== "properties") return keysIn(inner, `${path}/${word}`);
    return Object.entries(inner as object).flatMap(([key, value]) => [
      [`${path}.${key}`, value] as [string, Record<string, unknown>],
      ...keysIn(value, `${path}.${key}`),
    ]);
  });
}

describe.each(SCHEMA_NAMES)("the JSON Schema of a %s", (name) => {
  const schema = jsonSchema(name);

  it("says which draft it is, and describes every key", () => {
    expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
    const keys = keysIn(schema);
    expect(keys.length).toBeGreaterThan(30);
    expect(
      keys.filter(([, { description }]) => typeof description !== "string").map(([path]) => path),
    ).toEqual([]);
  });

  it("takes no key that it does not name", () => {
    const open = JSON.stringify(schema).match(/"properties":/g)?.length ?? 0;
    const closed = JSON.stringify(schema).match(/"additionalProperties":false/g)?.length ?? 0;
    expect(closed).toBe(open);
  });
});

describe("the defaults that a JSON Schema gives", () => {
  it("are those that reading fills in", () => {
    const plain = { design: "d", memories: [{ name: "m", depth: 8, width: 8, ports: "1r1w" }] };
    const read: object = designSchema.parse(plain).memories[0]!;
    const told = keysIn(jsonSchema("design")).flatMap(([path, { default: value }]) => {
      const key = /^\.memories\/items\.(\w+)$/.exec(path)?.[1];
      return key === undefined || value === undefined ? [] : [[key, value] as const];
    });
    expect(told.map(([key]) => key)).toEqual(["instances", "read", "clocks", "collision"]);
    expect(read).toMatchObject(Object.fromEntries(told));
  });
});

describe.each(["design", "device"] as const)("a reader of JSON Schema, on %s files", (sort) => {
  const takes = follows(sort);

  it.each(filesOf(sort))("takes $file", ({ data }) => {
    expect(takes(data)).toBe(true);
  });

  it("refuses whatever is not of the form, and only what reading refuses", () => {
    const files = filesOf(sort).map(({ data }) => data);
    const odd = fc.constantFrom<unknown>(-1, 0, 1.5, 2 ** 40, "", "x y", "16 KB", "2r", true, null, [], {}, [
      [],
    ]);
    let refused = 0;
    fc.assert(
      fc.property(fc.constantFrom(...files), fc.nat(), odd, fc.boolean(), (file, pick, value, rename) => {
        const data = structuredClone(file);
        const places = placesIn(data);
        const { holder, key } = places[pick % places.length]!;
        if (rename && !Array.isArray(holder)) holder.colour = value;
        else holder[key] = value;
        const right = SCHEMAS[sort].safeParse(data).success;
        if (takes(data)) return;
        refused += 1;
        expect(right).toBe(false);
      }),
      { numRuns: 400, seed: 7 },
    );
    expect(refused).toBeGreaterThan(200);
  });
});

interface Place {
  // biome-ignore lint/suspicious/noExplicitAny: any mapping or list of a parsed file
  readonly holder: any;
  readonly key: string;
}

function placesIn(data: unknown): Place[] {
  if (typeof data !== "object" || data === null) return [];
  return Object.entries(data).flatMap(([key, value]) => [{ holder: data, key }, ...placesIn(value)]);
}

describe("patterns for editors", () => {
  const number = fc.stringMatching(/^\d{1,13}(\.\d{1,7})?$/);
  const unit = fc.constantFrom("", "B", "KiB", "MB", "bits", "Kibit", "MHz", "kHz", "GHz", "kb", "r", "rw");
  const text = fc.oneof(
    fc.tuple(number, fc.constantFrom("", " ", "  "), unit).map((parts) => parts.join("")),
    fc.stringMatching(/^([1-9]\d?(rw|r|w)){1,4}$/),
    fc.stringMatching(/^\d{1,4}x\d{1,3}$/),
    fc.string(),
  );

  it.each([
    ["sizes", SIZE_PATTERN, parseSize],
    ["frequencies", FREQUENCY_PATTERN, parseFrequency],
    ["shapes", SHAPE_PATTERN, parseShape],
    [
      "ports",
      PORTS_PATTERN,
      (words: string) => {
        const ports = parsePorts(words);
        return ports !== null && readers(ports) > 0 ? ports : null;
      },
    ],
  ] as const)("take all %s that are legal", (_, pattern, read) => {
    const form = new RegExp(pattern, "u");
    let legal = 0;
    let illegal = 0;
    fc.assert(
      fc.property(text, (words) => {
        if (read(words) === null) {
          if (!form.test(words)) illegal += 1;
          return;
        }
        legal += 1;
        expect(form.test(words), words).toBe(true);
      }),
      { numRuns: 2000, seed: 3 },
    );
    expect(legal).toBeGreaterThan(20);
    expect(illegal).toBeGreaterThan(20);
  });
});

describe("the package", () => {
  it.each(SCHEMA_NAMES)("brings the JSON Schema of a %s", (name) => {
    // What `npm test` builds before the tests run.
    const built = readFileSync(new URL(`../../dist/schema/${name}.json`, import.meta.url), "utf8");
    expect(JSON.parse(built)).toEqual(jsonSchema(name));
  });
});
