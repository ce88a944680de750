import { mkdirSync, writeFileSync } from "node:fs";
import { manMarkdown } from "./man.js";
import { commands } from "./run.js";

// A step of the build: the manual page as Markdown, of which marked-man makes what `man` reads, in dist/man.
mkdirSync(new URL("../man/", import.meta.url), { recursive: true });
const silent = { write: () => {} };
const program = commands({ stdout: silent, stderr: silent, env: {}, cwd: ".", isTTY: false }, () => {});
writeFileSync(new URL("ramtailor.1.md", import.meta.url), manMarkdown(program));
