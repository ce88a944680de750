// @ts-check
/**
 * Bundles the command line: `dist/cli/bin.js` and, beside it, what the commands load when they run. Every file that is loaded
 * costs nearly a millisecond, so what `pack` needs is a handful of files, not one for each set of commands that share a module.
 */
import { chmodSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { defineConfig } from "rolldown";

/**
 * Packages that are loaded from where they are installed: those with worker threads or binaries, and those few need. One that
 * is a module only has to be imported when it is needed, with `import()`.
 */
const INSTALLED = [
  "@bomb.sh/tab",
  "highs",
  "javascript-lp-solver",
  "tinypool",
  "csv-stringify",
  "cli-progress",
  "web-tree-sitter",
];

/**
 * The bundle is CommonJS in a package of modules: Node starts it without its loader of modules, which takes longer.
 * @type {import("rolldown").Plugin}
 */
const commonJs = {
  name: "common-js",
  generateBundle() {
    this.emitFile({ type: "asset", fileName: "package.json", source: '{ "type": "commonjs" }\n' });
  },
};

/**
 * What npx has linked once it does not make executable again after the next build.
 * @type {import("rolldown").Plugin}
 */
const executable = {
  name: "executable",
  writeBundle({ dir }) {
    chmodSync(join(dir ?? "", "bin.js"), 0o755);
  },
};

export default defineConfig({
  input: "src/cli/bin.ts",
  platform: "node",
  external: INSTALLED,
  plugins: [commonJs, executable],
  resolve: {
    alias: {
      // The argument parser wants it for commands that are programs of their own; there are none.
      "node:child_process": false,
      // What draws tables wants it for borders in colour; there are none.
      "@colors/colors/safe": false,
      // What draws tables measures each cell several times, with a search for every emoji there is.
      "string-width": fileURLToPath(new URL("src/report/columns-of.ts", import.meta.url)),
      // The same library in the form that leaves out what is not used.
      yaml: fileURLToPath(new URL("node_modules/yaml/browser/dist/index.js", import.meta.url)),
    },
  },
  checks: {
    // A dynamic import of what is in a file anyway is meant: the tree does not know the files.
    ineffectiveDynamicImport: false,
    // Only the sources ask where a module is, for the loader of TypeScript in threads.
    emptyImportMeta: false,
  },
  output: {
    dir: "dist/cli",
    format: "cjs",
    strict: true,
    minify: true,
    // Bundlers are told there what they may leave out; this is what one made.
    comments: { annotation: false, jsdoc: false },
    codeSplitting: {
      // Each with all that it imports and that no group before it has.
      groups: [
        { name: "commands", test: /[\\/]src[\\/]cli[\\/]run\.ts$/, priority: 3 },
        { name: "input", test: /[\\/]src[\\/]input[\\/]find-device\.ts$/, priority: 2 },
        { name: "pack", test: /[\\/]src[\\/]cli[\\/]pack-and-print\.ts$/, priority: 1 },
      ],
    },
  },
});
