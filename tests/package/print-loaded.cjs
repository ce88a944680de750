// @ts-check
/** For `node --require`: at the end of a program, the files that it loaded and the modules of Node, as JSON on stderr. */
const { writeSync } = require("node:fs");

const { moduleLoadList } = /** @type {typeof process & { moduleLoadList: string[] }} */ (process);
const before = new Set(moduleLoadList);

process.on("exit", () => {
  const files = Object.keys(require.cache).filter((file) => file !== __filename);
  const node = moduleLoadList.filter((name) => !before.has(name));
  writeSync(2, JSON.stringify({ files, node }));
});
