import { readFile } from "node:fs/promises";
import { transform } from "esbuild";

const OPTIONS = { loader: "ts", format: "esm", platform: "node", target: "node20" };

/** What is not there as JavaScript is taken from TypeScript. */
export async function resolve(specifier, context, next) {
  try {
    return await next(specifier, context);
  } catch (error) {
    if (error.code !== "ERR_MODULE_NOT_FOUND" || !/^\.{1,2}\/.*\.js$/.test(specifier)) throw error;
    return next(specifier.replace(/\.js$/, ".ts"), context);
  }
}

export async function load(url, context, next) {
  if (!url.endsWith(".ts")) return next(url, context);
  const { code } = await transform(await readFile(new URL(url), "utf8"), { ...OPTIONS, sourcefile: url });
  return { format: "module", source: code, shortCircuit: true };
}
