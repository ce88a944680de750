import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { readSource } from "../../src/input/index.js";
import { inputError } from "../support/input-error.js";

const folder = mkdtempSync(join(tmpdir(), "ramtailor-nearest-"));
for (const name of ["designs", "devices"]) mkdirSync(join(folder, name));
for (const file of ["designs/antenna.yaml", "designs/telescope.yaml", "devices/board.yml", "plain"]) {
  writeFileSync(join(folder, file), "");
}
mkdirSync(join(folder, "designs", "antennas.yaml"));
symlinkSync("telescope.yaml", join(folder, "designs", "current.yaml"));
afterAll(() => rmSync(folder, { recursive: true }));

/** What is said of a file that cannot be read. */
function refusal(path: string): string {
  return inputError(() => readSource(path))
    .diagnostics.map(({ message }) => message)
    .join();
}

describe("a file that is not there", () => {
  it.each([
    ["a slip in its name", "designs/antena.yaml", "antenna.yaml"],
    ["a name in other letters", "designs/Telescope.yaml", "telescope.yaml"],
    ["another ending", "devices/board.yaml", "board.yml"],
    ["no ending", "designs/telescope", "telescope.yaml"],
    ["the name of a link", "designs/curent.yaml", "current.yaml"],
    ["a slip in its folder", "desings/antenna.yaml", "designs/antenna.yaml"],
    ["a slip in both", "desings/antena.yaml", "designs/antenna.yaml"],
  ])("is told with the nearest one: %s", (_, path, near) => {
    expect(refusal(join(folder, path))).toBe(`no such file; did you mean "${near}"?`);
  });

  it.each([
    ["nothing like it", "designs/weather.yaml"],
    ["a folder is no file", "designs/antennas"],
    ["no folder like its own", "rtl/antenna.yaml"],
    ["nothing like it in the folder that is like its own", "device/antenna.yaml"],
    ["two folders that are not there", "a/b/antenna.yaml"],
  ])("is told alone where none is near: %s", (_, path) => {
    expect(refusal(join(folder, path))).toBe("no such file");
  });

  it("says nothing else of a file on the way", () => {
    expect(refusal(join(folder, "plain/antenna.yaml"))).toBe("expected a folder on the way, found a file");
  });
});
