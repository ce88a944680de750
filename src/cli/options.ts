import { type Command, Option } from "commander";
import { UsageError } from "./usage-error.js";

/** The solving engines that can be asked for; `auto` uses both. */
export const ENGINES = ["auto", "javascript-lp-solver", "highs"] as const;
export type EngineName = (typeof ENGINES)[number];

/** Options of the commands that pack. */
export interface PackingOptions {
  readonly device?: string;
  readonly engine: EngineName;
  /** Seconds. */
  readonly deadline: number;
  readonly json?: true;
}

const DEADLINE = { default: 10, most: 86_400 };

/** Adds `--json`. */
export function addJson(command: Command): Command {
  return command.option("--json", "write JSON");
}

/** Adds `--device`, `--engine`, `--deadline` and `--json`. */
export function addPacking(
  command: Command,
  devices = "a device's name or the path of a device file (default: the design's own)",
): Command {
  command
    .option("--device <device>", devices)
    .addOption(
      new Option("--engine <engine>", "solving engine").choices(ENGINES).argParser(engineOf).default("auto"),
    )
    .addOption(
      new Option("--deadline <seconds>", "time to prove the optimum; then the best plan so far is taken")
        .argParser(secondsOf)
        .default(DEADLINE.default),
    );
  return addJson(command);
}

function engineOf(text: string): EngineName {
  const engine = ENGINES.find((name) => name === text);
  if (engine !== undefined) return engine;
  throw new UsageError("unknown-engine", `--engine: ${JSON.stringify(text)} is not an engine`, {
    word: text,
    names: ENGINES,
    what: "engines",
  });
}

function secondsOf(text: string): number {
  const seconds = decimal(text);
  if (seconds !== null && seconds > 0 && seconds <= DEADLINE.most) return seconds;
  throw wrong("--deadline", text, `seconds above 0, up to ${DEADLINE.most}`);
}

/** Reads the argument of `--max-waste`, for example `40%`, as a share from 0 to 1. */
export function shareOf(text: string): number {
  const number = text.endsWith("%") ? decimal(text.slice(0, -1)) : null;
  if (number !== null && number <= 100) return number / 100;
  throw wrong("--max-waste", text, "a percentage from 0% to 100%, for example 40%");
}

/** Reads the argument of `--max-luts`. */
export function lutsOf(text: string): number {
  if (/^\d{1,12}$/.test(text)) return Number(text);
  throw wrong("--max-luts", text, "a whole number, 0 or more");
}

/** Reads one argument of `--max-blocks`, for example `EBR=150`, onto those read before. */
export function blocksOf(text: string, before: ReadonlyMap<string, number>): ReadonlyMap<string, number> {
  const at = text.lastIndexOf("=");
  const pool = text.slice(0, Math.max(0, at));
  const blocks = text.slice(at + 1);
  if (pool === "" || !/^\d{1,12}$/.test(blocks)) {
    throw wrong("--max-blocks", text, "a pool and a whole number, for example EBR=150");
  }
  if (before.has(pool)) {
    throw new UsageError("wrong-option-value", `--max-blocks: ${JSON.stringify(pool)} is given twice`);
  }
  return new Map([...before, [pool, Number(blocks)]]);
}

/** A number of at most 12 digits before and after the point, without sign or exponent; null for any other text. */
function decimal(text: string): number | null {
  return /^\d{1,12}(?:\.\d{1,12})?$/.test(text) ? Number(text) : null;
}

/** The error for an option's argument that has another form than expected. */
export function wrong(option: string, text: string, expected: string): UsageError {
  return new UsageError(
    "wrong-option-value",
    `${option}: expected ${expected}, found ${JSON.stringify(text)}`,
  );
}
