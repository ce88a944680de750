// @ts-check
/** `npm run readme`: writes what the commands print now into README.md and GUIDE.md. Works on the built program. */
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { GUIDE, README, withOutputs } from "./blocks.js";

const BIN = fileURLToPath(new URL("../../dist/cli/bin.js", import.meta.url));

for (const path of [README, GUIDE]) {
  const before = readFileSync(path, "utf8");
  const after = await withOutputs(before, async (command, folder) => {
    const [program, ...words] = command.split(" ");
    if (program === "npx" && words[0] === "ramtailor") words[0] = BIN;
    else if (program !== "node") throw new Error(`${path}: no way to run ${JSON.stringify(command)}`);
    const { status, stdout, stderr } = spawnSync(process.execPath, words, { cwd: folder, encoding: "utf8" });
    // A design over its budget is told by exit code 1, and printed all the same.
    if (status !== 0 && status !== 1) throw new Error(`${command}: ${stderr}`);
    return stdout;
  });
  writeFileSync(path, after);
  console.log(`${path} ${after === before ? "is as it was" : "is rewritten"}`);
}
