import { readFileSync } from "node:fs";
import { expect, it } from "vitest";
import { ramtailor } from "../cli/run-command.js";
import { commandsIn, GUIDE, withOutputs } from "./blocks.js";

const guide = readFileSync(GUIDE, "utf8");

/** Commands that tell of a design over its budget. */
const OVER = new Set([
  "npx ramtailor pack spectrometer.yaml",
  "npx ramtailor reshape spectrometer.yaml --keep l1i --keep l1d --allow size",
]);

it("every command of the guide prints what it shows (npm run readme writes it anew)", async () => {
  const shown = await withOutputs(guide, async (command, folder) => {
    const words = /^npx ramtailor (.+)$/.exec(command)?.[1];
    if (words === undefined) throw new Error(`no way to run ${JSON.stringify(command)}`);
    const { exit, stdout, stderr } = await ramtailor(words, { cwd: folder });
    expect({ exit, stderr }, command).toEqual({ exit: OVER.has(command) ? 1 : 0, stderr: "" });
    return stdout;
  });
  expect(shown).toBe(guide);
  expect(commandsIn(guide).length).toBeGreaterThan(5);
});
