import { mkdirSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import Table from "cli-table3";

/** What a section can be told. */
export interface SectionOptions {
  /** Seeds to run, first and last; null: those of the goal. */
  readonly seeds: readonly [number, number] | null;
  /** Reference: milliseconds after which the opponent is stopped. */
  readonly capMs: number;
  /** Scale: the most distinct memories of the growth curve. */
  readonly most: number;
}

/** A goal that was not met, in words; none: all met. */
export type Misses = readonly string[];

/** One section of the benchmark: prints its tables, writes its files, and says what was missed. */
export type Section = (options: SectionOptions) => Promise<Misses>;

const OUTPUT = new URL("../../bench/", import.meta.url);

/** Writes a file under bench/, which is not under version control. */
export function writeOutput(name: string, content: string): void {
  mkdirSync(OUTPUT, { recursive: true });
  writeFileSync(new URL(name, OUTPUT), content);
  console.log(`written: bench/${name}`);
}

/** Writes data as bench/`name`.json. */
export function writeData(name: string, data: unknown): void {
  writeOutput(`${name}.json`, `${JSON.stringify(data, null, 2)}\n`);
}

/** A path of the repository. */
export function repositoryPath(path: string): string {
  return fileURLToPath(new URL(`../../${path}`, import.meta.url));
}

/** Prints a table under a title. */
export function printTable(
  title: string,
  head: readonly string[],
  rows: readonly (readonly (string | number)[])[],
): void {
  const table = new Table({ head: [...head], style: { head: [], border: [], compact: true } });
  for (const row of rows) table.push(row.map(String));
  console.log(`\n${title}\n${table.toString()}`);
}

/** Says on one line how far a long section is; nothing where the output is no terminal. */
export function progress(text: string): void {
  if (process.stderr.isTTY) process.stderr.write(`\r\x1b[K${text}`);
}

/** The seeds to run: `count` from 1 on, or those asked for. */
export function seedsOf({ seeds }: SectionOptions, count: number): number[] {
  const [first, last] = seeds ?? [1, count];
  return Array.from({ length: last - first + 1 }, (_, index) => first + index);
}

/** Milliseconds and ratios for people: three significant figures. */
export function short(value: number): string {
  if (!Number.isFinite(value)) return String(value);
  return value >= 1000 ? Math.round(value).toLocaleString("en") : String(Number(value.toPrecision(3)));
}
