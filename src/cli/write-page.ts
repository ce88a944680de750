import { createHash } from "node:crypto";
import { existsSync, readFileSync, statSync } from "node:fs";
import { resolve } from "node:path";
import type { Device } from "../model/index.js";
import { PAGE_HEAD, pageHtml } from "../report/page.js";
import { EXIT, type Io } from "./io.js";
import type { PackingOptions } from "./options.js";
import { openBoth, packRead } from "./plan-design.js";
import { undisturbed } from "./undisturbed.js";
import { UsageError } from "./usage-error.js";
import { writeWhole } from "./write-file.js";

/** Options of `page`. */
export interface PageCommandOptions extends PackingOptions {
  readonly output: string;
  readonly sweep?: string;
  readonly force?: true;
}

/** The built page, from src/cli and from dist/cli alike. */
const TEMPLATE = new URL("../../dist/page/page.html", import.meta.url);

/** What `page` does when it runs. Returns the exit code. */
export async function writePage(path: string, options: PageCommandOptions, io: Io): Promise<number> {
  const { read, device } = openBoth(path, options, io);
  const sweep = options.sweep === undefined ? null : readSweep(options.sweep, io);
  const plan = await packRead(read, device, options, io);
  const body = pageHtml(template(), {
    format: "ramtailor-page/1",
    file: path,
    text: read.source.text,
    device: options.device ?? null,
    devices: fromFiles([options.device ?? read.design.device], device),
    packedOn: device,
    plan,
    deadlineMs: options.deadline * 1000,
    sweep,
  });
  const page = `${PAGE_HEAD}${digest(body)} -->\n${body}`;
  const full = resolve(io.cwd, options.output);
  const force = options.force === true || isOurs(full, PAGE_HEAD);
  const interrupted = await undisturbed(io, () => writeWhole(full, page, force, options.output));
  const said = {
    format: "ramtailor-page/1",
    file: options.output,
    bytes: Buffer.byteLength(page),
    status: plan.status,
  };
  io.stdout.write(options.json ? `${JSON.stringify(said, null, 2)}\n` : `Written: ${options.output}\n`);
  const end = plan.status === "over-budget" ? EXIT.over : EXIT.done;
  return interrupted ? EXIT.interrupted : end;
}

function template(): string {
  if (!existsSync(TEMPLATE))
    throw new Error("the page is not built: run `npm run build` in ramtailor's folder");
  return readFileSync(TEMPLATE, "utf8");
}

/** Devices that the page would not know by itself: those of a path. */
function fromFiles(names: readonly (string | null)[], device: Device): Record<string, Device> {
  const paths = names.filter((name) => name !== null && /[/\\#]|\.ya?ml$/i.test(name));
  return Object.fromEntries(paths.map((name) => [name, device]));
}

function digest(body: string): string {
  return createHash("sha256").update(body).digest("hex");
}

/** True where a file is a page as this command wrote it. What is no file (a pipe, /dev/full) is not read: it may have no end. */
function isOurs(path: string, head: string): boolean {
  try {
    if (!statSync(path).isFile()) return false;
    const text = readFileSync(path, "utf8");
    const [first = ""] = text.split("\n", 1);
    return first === `${head}${digest(text.slice(first.length + 1))} -->`;
  } catch {
    return false;
  }
}

function readSweep(file: string, io: Io): unknown {
  const wrong = (why: string) => new UsageError("wrong-option-value", `--sweep ${file}: ${why}`);
  let value: unknown;
  try {
    value = JSON.parse(readFileSync(resolve(io.cwd, file), "utf8"));
  } catch (error) {
    throw wrong(`cannot be read: ${(error as Error).message}`);
  }
  if ((value as { format?: unknown } | null)?.format !== "ramtailor-sweep/1") {
    throw wrong("expected what sweep --json writes");
  }
  return value;
}
