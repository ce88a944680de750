import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { InputError } from "../../src/input/diagnostics.js";
import {
  findDevice,
  listDevices,
  type PreparedDevices,
  prepareDevices,
} from "../../src/input/find-device.js";
import { markOf } from "../../src/input/mark.js";
import { inputError } from "../support/input-error.js";

// Invented devices.
const FAMILY = `family: test
pools: [{ name: R }]
blocks:
  - { name: R, pool: R, bits: 1024, shapes: [{ shapes: [64x16], family: f, arrangements: [single] }] }
logic: { unit: LUT4, inputs: 4, multiplexers: [{ inputs: 2, luts: 1, levels: 1 }] }
parts:
`;
const part = (name: string) => `  - { "name": "${name}", blocks: [{ pool: R, count: 8 }], logic: 100 }\n`;

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "devices-"));
  writeFileSync(join(folder, "one.yaml"), FAMILY + part("tiny"));
  writeFileSync(join(folder, "two.yml"), FAMILY + part("big") + part("bigger"));
  writeFileSync(join(folder, "latin.txt"), Buffer.from([0x66, 0xff, 0xfe]));
  writeFileSync(join(folder, "notes.txt"), "not a device file: [");
});
afterAll(() => rmSync(folder, { recursive: true }));

function refusal(nameOrPath: string, directory?: string): InputError {
  return inputError(() => findDevice(nameOrPath, directory === undefined ? {} : { directory }));
}

describe("by name", () => {
  test("a shipped part, without regard to case", () => {
    expect(findDevice("ecp5-85f").part).toBe("LFE5U-85F");
    expect(findDevice("XCZU7EV").name).toBe("xczu7ev");
  });

  test("an unknown name gives the nearest", () => {
    const [diagnostic] = refusal("ecp5-84f").diagnostics;
    expect(diagnostic).toMatchObject({ code: "unknown-name", severity: "error", range: null });
    expect(diagnostic?.message).toContain('did you mean "ecp5-85f"?');
  });

  test("a name like none of them gives the list", () => {
    expect(refusal("z").message).toContain("devices: 10ax115, 5ceba4, 5cseba6");
  });

  test("only the parts of the folder that is asked for", () => {
    expect(findDevice("bigger", { directory: folder }).name).toBe("bigger");
    expect(refusal("ecp5-85f", folder).message).toContain("devices: big, bigger, tiny");
    expect(listDevices({ directory: folder }).map((d) => d.name)).toEqual(["tiny", "big", "bigger"]);
  });

  test("a name whose line is not told by a look at the text is still found", () => {
    const odd = mkdtempSync(join(tmpdir(), "devices-"));
    writeFileSync(join(odd, "odd.yaml"), FAMILY + part("plain").replace('"plain"', '"pla\\x69n"'));
    expect(findDevice("plain", { directory: odd }).name).toBe("plain");
    rmSync(odd, { recursive: true });
  });

  test("a file of another part is not read for it, however wrong", () => {
    const mixed = mkdtempSync(join(tmpdir(), "devices-"));
    writeFileSync(join(mixed, "a-broken.yaml"), "family: [");
    writeFileSync(join(mixed, "b-right.yaml"), FAMILY + part("good"));
    expect(findDevice("good", { directory: mixed }).name).toBe("good");
    expect(refusal("other", mixed).diagnostics[0]?.code).toBe("yaml-syntax");
    rmSync(mixed, { recursive: true });
  });

  test("a folder that is not there", () => {
    expect(refusal("big", join(folder, "none")).diagnostics[0]?.code).toBe("unreadable-file");
  });
});

describe("by path", () => {
  test("a file of one part needs no part name", () => {
    expect(findDevice(join(folder, "one.yaml")).name).toBe("tiny");
  });

  test("a file of several parts needs one, after #", () => {
    const path = join(folder, "two.yml");
    expect(findDevice(`${path}#bigger`).name).toBe("bigger");
    expect(refusal(path).message).toContain("2 parts, add one after #: big, bigger");
    expect(refusal(`${path}#biger`).message).toContain('did you mean "bigger"?');
  });

  test.each([
    ["missing.yaml", "no such file"],
    ["", "found a directory"],
    ["latin.txt", "expected UTF-8 text"],
  ])("unreadable: %j", (file, reason) => {
    const error = refusal(`${folder}/${file}`);
    expect(error.diagnostics).toMatchObject([{ code: "unreadable-file", range: null }]);
    expect(error.message).toContain(reason);
  });

  test("a file that is wrong keeps its text for the message", () => {
    const error = refusal(join(folder, "notes.txt"));
    expect(error.source.text).toBe("not a device file: [");
    expect(error.diagnostics[0]?.range).not.toBeNull();
  });
});

test("what the build keeps of the shipped files is what they say", () => {
  const kept = Object.values(JSON.parse(JSON.stringify(prepareDevices())) as PreparedDevices).flat();
  expect(kept).toEqual(listDevices());
});

test("no edit of one character leaves a file its mark", () => {
  const text = readFileSync(new URL("../../devices/generic-10k.yaml", import.meta.url), "utf8");
  const edits = Array.from({ length: text.length }, (_, at) => [
    text.slice(0, at) + text.slice(at + 1),
    `${text.slice(0, at)}#${text.slice(at)}`,
    `${text.slice(0, at)}7${text.slice(at + 1)}`,
  ]).flat();
  const others = new Set(edits.filter((edit) => edit !== text));
  const marks = new Set([...others].map(markOf));
  expect(marks.size).toBe(others.size);
  expect(marks).not.toContain(markOf(text));
});
