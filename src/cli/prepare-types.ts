import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";

// A step of the build: type declarations that the library's own do not lead to are not brought, and those that are brought are indented by
// tabs, which take less.
const folder = new URL("../", import.meta.url);
const needed = new Set<string>();
const visit = (url: URL): void => {
  if (needed.has(url.href)) return;
  needed.add(url.href);
  for (const [, path = ""] of readFileSync(url, "utf8").matchAll(/(?:from|import\() ?"(\.[^"]+)\.js"/g)) {
    visit(new URL(`${path}.d.ts`, url));
  }
};
visit(new URL("index.d.ts", folder));
for (const name of readdirSync(folder, { recursive: true, encoding: "utf8" })) {
  const url = new URL(name.replaceAll("\\", "/"), folder);
  if (name.endsWith(".d.ts") && !needed.has(url.href)) rmSync(url);
}
for (const href of needed) {
  const text = readFileSync(new URL(href), "utf8");
  writeFileSync(
    new URL(href),
    text.replace(/^(?: {4})+/gm, (spaces) => "\t".repeat(spaces.length / 4)),
  );
}
