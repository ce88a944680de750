import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";

// A step of the build: type declarations that the library's own do not lead to are not brought, and those that are brought are indented by
// tabs, which take less.
const folder = new URL("../", import.meta.url);
const needed = new Map<string, string>();
const visit = (url: URL): void => {
  if (needed.has(url.href)) return;
  const text = readFileSync(url, "utf8");
  needed.set(url.href, text);
  for (const [, path = ""] of text.matchAll(/(?:from|import\() ?"(\.[^"]+)\.js"/g)) {
    visit(new URL(`${path}.d.ts`, url));
  }
};
visit(new URL("index.d.ts", folder));
for (const name of readdirSync(folder, { recursive: true, encoding: "utf8" })) {
  const url = new URL(name.replaceAll("\\", "/"), folder);
  if (name.endsWith(".d.ts") && !needed.has(url.href)) rmSync(url);
}
for (const [href, text] of needed) {
  writeFileSync(
    new URL(href),
    text.replace(/^(?: {4})+/gm, (spaces) => "\t".repeat(spaces.length / 4)),
  );
}
