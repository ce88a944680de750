import { type MemoryRequest, parseShape, readers, type Tenant, writers } from "../../model/index.js";
import type { Member } from "./clusters.js";

/** Something wrong with a contents file. */
export interface ContentsProblem {
  /** From 1. */
  readonly line: number;
  readonly message: string;
}

/** The words of a memory at start, or what is wrong with the text. */
export type Contents =
  | { readonly ok: true; readonly words: readonly bigint[] }
  | { readonly ok: false; readonly problems: readonly ContentsProblem[] };

/** Most problems that are told of one file. */
const PROBLEMS = 20;

/**
 * Reads a hex file as `$readmemh` of IEEE 1364-2005, 17.2.9 does: words in hexadecimal, `_` between digits, `@` and an
 * address in hexadecimal, comments. Words that it does not give are zero. Digits x and z are refused.
 */
export function readContents(text: string, depth: number, width: number): Contents {
  const words = Array<bigint>(depth).fill(0n);
  const problems: ContentsProblem[] = [];
  const say = (line: number, message: string) => {
    if (problems.length < PROBLEMS) problems.push({ line, message });
  };
  const plain = text
    .replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/[^\n]/g, " "))
    .replace(/\/\/[^\n]*/g, "");
  let next = 0;
  plain.split(/\r?\n/).forEach((content, index) => {
    const line = index + 1;
    for (const token of content.split(/\s+/).filter((part) => part !== "")) {
      const shown = JSON.stringify(token.slice(0, 40));
      const digits = token.replace(/^@/, "").replace(/_/g, "");
      if (!/^[0-9a-f]+$/i.test(digits)) {
        say(line, `expected a word or an @address in hexadecimal digits, found ${shown}`);
        continue;
      }
      const value = BigInt(`0x${digits}`);
      if (token.startsWith("@")) {
        if (value >= BigInt(depth))
          say(line, `expected an address below the depth, ${depth}, found ${shown}`);
        next = value >= BigInt(depth) ? depth + 1 : Number(value);
        continue;
      }
      if (value >> BigInt(width) > 0n) say(line, `expected a word of ${width} bits, found ${shown}`);
      if (next === depth) say(line, `expected at most ${depth} words, found more`);
      if (next < depth) words[next] = value;
      next = Math.min(depth + 1, next + 1);
    }
  });
  return problems.length > 0 ? { ok: false, problems } : { ok: true, words };
}

/** Words as the text of a hex file, one a line. */
export function hexText(words: readonly bigint[], width: number): string {
  const digits = Math.ceil(width / 4);
  return `${words.map((word) => word.toString(16).padStart(digits, "0")).join("\n")}\n`;
}

/** The stored words of a memory, several of the request in one where unequal widths ask for it. */
export function storedWords(
  request: MemoryRequest,
  words: readonly bigint[],
  storedWidth: number,
): readonly bigint[] {
  const ratio = storedWidth / request.width;
  if (ratio === 1) return words;
  return Array.from({ length: words.length / ratio }, (_, row) => {
    const parts = words.slice(row * ratio, (row + 1) * ratio);
    return parts.reduceRight((sum, word) => (sum << BigInt(request.width)) | word, 0n);
  });
}

/** Whether a copy starts with the memory's contents: all do, but with several writers only those of the first. */
export function copyHasContents(
  { request, layout }: Pick<Member, "request" | "layout">,
  copy: number,
): boolean {
  const reads = readers(request.ports);
  if (layout.realisation === "live-value-table") return copy < reads;
  if (layout.realisation === "exclusive-or") return copy < writers(request.ports) - 1 + reads;
  return true;
}

/** Puts a tenant's part of its memory's stored words at its place among a block's words of `unit` bits. */
export function placeContents(
  image: bigint[],
  unit: number,
  tenant: Tenant,
  stored: readonly bigint[],
): void {
  const { width } = parseShape(tenant.shape)!;
  const mask = (count: number) => (1n << BigInt(count)) - 1n;
  for (let row = tenant.rows[0]; row <= tenant.rows[1]; row++) {
    const step = row - tenant.rows[0];
    const word = tenant.inverted ? tenant.word - step : tenant.word + step;
    let placed = 0n;
    for (const { bits, at } of tenant.runs) {
      const part = (stored[row]! >> BigInt(bits[0])) & mask(bits[1] - bits[0] + 1);
      placed |= part << BigInt(at);
    }
    for (let index = 0; index < width / unit; index++) {
      const cell = (word * width) / unit + index;
      image[cell] = (image[cell] ?? 0n) | ((placed >> BigInt(index * unit)) & mask(unit));
    }
  }
}
