// @ts-check
/**
 * Makes dist/page/page.html: the page with everything in it but the start data, which `ramtailor page` puts in. Runs
 * after tsc, because the embedded devices are read with the compiled program.
 */
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const root = new URL("../../", import.meta.url);
const path = (/** @type {string} */ name) => fileURLToPath(new URL(name, root));
const { listDevices } = await import(new URL("dist/input/index.js", root).href);

/** Modules of ours that a page replaces by others, by the end of their path. */
const REPLACED = ["solve/worker-host", "input/find-device", "input/read-source"];
/** Modules of Node and of others that a page replaces. */
const SUBSTITUTES = new Map([
  ["node:util", "node-util"],
  ["node:crypto", "node-crypto"],
  ["highs", "highs"],
]);

/** @type {(packer: string) => import("esbuild").Plugin} */
const forPages = (packer) => ({
  name: "for-pages",
  setup({ onResolve, onLoad }) {
    const substitute = (/** @type {string} */ name) => ({ path: path(`src/page/substitutes/${name}.ts`) });
    onResolve({ filter: /^\.{1,2}\// }, ({ path: name, importer }) => {
      if (importer.includes("/src/page/substitutes/")) return undefined;
      const replaced = REPLACED.find((ours) => name.endsWith(`/${ours.split("/")[1]}.js`));
      return replaced === undefined ? undefined : substitute(/** @type {string} */ (replaced.split("/")[1]));
    });
    onResolve({ filter: /^(?:node:|highs$)/ }, ({ path: name, importer }) => {
      const own = SUBSTITUTES.get(name);
      // The loader of HiGHS asks for Node only where it runs in Node.
      return own === undefined
        ? { path: name, external: importer.includes("/node_modules/") }
        : substitute(own);
    });
    onResolve({ filter: /^virtual:highs$/ }, () => ({ path: path("node_modules/highs/build/highs.mjs") }));
    onResolve({ filter: /^virtual:/ }, ({ path: name }) => ({ path: name, namespace: "virtual" }));
    onLoad({ filter: /.*/, namespace: "virtual" }, ({ path: name }) => {
      if (name === "virtual:devices") return { contents: JSON.stringify(listDevices()), loader: "json" };
      if (name === "virtual:device-names") {
        const names = listDevices().map(
          (/** @type {{ name: string; family: string }} */ { name: device, family }) => ({
            name: device,
            family,
          }),
        );
        return { contents: JSON.stringify(names), loader: "json" };
      }
      if (name === "virtual:packer") return { contents: packer, loader: "text" };
      const wasm = readFileSync(path("node_modules/highs/build/highs.wasm"));
      return { contents: gzipSync(wasm, { level: 9 }).toString("base64"), loader: "text" };
    });
  },
});

/** @type {(entry: string, packer: string) => Promise<string>} */
async function bundled(entry, packer) {
  const { outputFiles } = await build({
    entryPoints: [path(entry)],
    bundle: true,
    minify: true,
    write: false,
    format: "iife",
    platform: "browser",
    target: ["chrome110", "firefox115", "safari16.4"],
    charset: "utf8",
    jsx: "automatic",
    jsxImportSource: "preact",
    define: { "import.meta.url": '"file:///"' },
    plugins: [forPages(packer)],
    legalComments: "inline",
    logLevel: "warning",
    // Node's module that HiGHS's loader names behind a check for Node is never reached.
    logOverride: { "empty-import-meta": "silent" },
  });
  return /** @type {NonNullable<typeof outputFiles>} */ (outputFiles)[0]?.text ?? "";
}

const packer = await bundled("src/page/worker/index.ts", "");
const script = await bundled("src/page/app/index.tsx", packer);
const style = await build({
  entryPoints: [path("src/page/page.css")],
  minify: true,
  bundle: true,
  write: false,
});
const css = style.outputFiles[0]?.text ?? "";
const frame = readFileSync(path("src/page/page.html"), "utf8");
const page = frame
  .replace("/* style */", () => css.trim())
  .replace("/* script */", () => script.replaceAll("</script", "<\\/script").trim());
mkdirSync(path("dist/page"), { recursive: true });
writeFileSync(path("dist/page/page.html"), page);
