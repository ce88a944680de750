// @ts-check
/** `npm run readme`: writes what the README's commands print now into README.md. Works on the built program. */
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { README, withOutputs } from "./blocks.js";

const BIN = fileURLToPath(new URL("../../dist/cli/bin.js", import.meta.url));

const before = readFileSync(README, "utf8");
const after = await withOutputs(before, async (command, folder) => {
  const [program, ...words] = command.split(" ");
  if (program === "npx" && words[0] === "ramtailor") words[0] = BIN;
  else if (program !== "node") throw new Error(`README.md: no way to run ${JSON.stringify(command)}`);
  return execFileSync(process.execPath, words, { cwd: folder, encoding: "utf8" });
});
writeFileSync(README, after);
console.log(after === before ? "README.md is as it was" : "README.md is rewritten");
