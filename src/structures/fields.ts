import * as z from "zod";
import {
  COLLISIONS,
  type Collision,
  type MemoryRequest,
  memoryRequest,
  REALISATIONS,
  type Realisation,
} from "../model/index.js";
import { parseSize, SIZE_PATTERN } from "../model/units.js";
import { isPowerOfTwo } from "./arithmetic.js";

/** The message of a field: what was expected, and whether nothing was there. */
export function expected(what: string): (issue: { readonly input?: unknown }) => string {
  return (issue) => (issue.input === undefined ? `missing: expected ${what}` : `expected ${what}`);
}

/** Largest count or number of bits that a field takes; far beyond any device, so that a slip is caught. */
const LARGEST = 2 ** 30;

/** Most ways of a set: as many as lines in the largest textbook example of a fully associative cache. */
export const MOST_WAYS = 4096;

/** Made at the first call and never again: a design file's form has many fields of few forms. */
function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

function wholeNumber(least: number, most: number) {
  const upTo = most === LARGEST ? "up" : `to ${most}`;
  const message = expected(`a whole number from ${least} ${upTo}`);
  return z
    .number({ error: message })
    .meta({ type: "integer", minimum: least, maximum: most })
    .refine((n) => Number.isInteger(n) && n >= least && n <= most, { error: message, abort: true });
}

/** A size with its unit (`16 KiB`), in bits. A plain number could be bits, bytes or words, so it is refused. */
export const size = once(() => {
  const message = expected("a size with its unit, for example 16 KiB, 64 B or 512 bits");
  const form = z.string({ error: message }).meta({ pattern: SIZE_PATTERN });
  return form.transform((text, context) => {
    const bits = parseSize(text);
    if (bits !== null) return bits;
    context.addIssue({ code: "custom", message: message({ input: text }) });
    return z.NEVER;
  });
});

/** A size that is a power of two of bytes, such as a cache line or a page, in bits. */
export function powerOfTwoSize() {
  const message = "expected a power of two of bytes, for example 64 B";
  return size().refine((bits) => isPowerOfTwo(bits / 8), { error: message, abort: true });
}

/** A number of bits: a plain number (38) or a size (`38 bits`, `8 B`). */
export const bits = once(() => {
  const message = expected("a number of bits, for example 38 or 38 bits");
  const plain = z.number().meta({ type: "integer", minimum: 1, maximum: LARGEST });
  const withUnit = z.string().meta({ pattern: SIZE_PATTERN });
  return z.union([plain, withUnit], { error: message }).transform((value, context) => {
    const count = typeof value === "number" ? value : parseSize(value);
    if (count !== null && Number.isInteger(count) && count >= 1 && count <= LARGEST) return count;
    context.addIssue({ code: "custom", message: message({ input: value }) });
    return z.NEVER;
  });
});

const countUpToLargest = once(() => wholeNumber(1, LARGEST));

/** A whole number of things, at least 1. */
export function count(most: number = LARGEST) {
  return most === LARGEST ? countUpToLargest() : wholeNumber(1, most);
}

/** A whole number that may be 0. */
export const countOrNone = once(() => {
  return wholeNumber(0, LARGEST);
});

/** One of a list of words. */
export function word<const T extends readonly [string, ...string[]]>(words: T) {
  return z.enum(words, { error: expected(`one of ${words.join(", ")}`) });
}

/** The path of a file, from the folder of the design file. */
export function path() {
  const message = expected("the path of a file");
  return z.string({ error: message }).min(1, { error: message }).max(1024, { error: message });
}

/** True or false. */
export const flag = once(() => {
  return z.boolean({ error: expected("true or false") });
});

/** The number of ways of a set, or `full`: one set that holds every entry. */
export function ways() {
  const message = expected(`a number of ways from 1 to ${MOST_WAYS}, or full`);
  return z.union([z.literal("full"), z.number().int().min(1).max(MOST_WAYS)], { error: message });
}

/** The name of a structure: letters, digits, `_` and `-`, a letter first. */
export function name() {
  const message = expected("a name of letters, digits, _ and -, a letter first");
  return z.string({ error: message }).regex(/^[A-Za-z][A-Za-z0-9_-]*$/, { error: message });
}

/** A home or a list of homes (pool names, `LUT`, `registers`), as a list. */
export function homes() {
  const message = expected("a home or a list of homes: a block pool of the device, LUT or registers");
  const home = z.string({ error: message }).min(1, { error: message });
  return z
    .union([home, z.array(home, { error: message }).min(1, { error: message })], { error: message })
    .transform((value): readonly string[] => (typeof value === "string" ? [value] : value));
}

/** What every structure takes beside its own parameters. All but `name` may be left out. */
export const commonFields = {
  name: name().describe(
    "Name of the structure, unique in the design; its memories are called by it, or by it and a part (l1d.data). Letters, digits, _ and -, a letter first.",
  ),
  instances: count()
    .default(1)
    .describe("Identical copies of the structure in the system, for example one a core. Default 1."),
  in: homes()
    .optional()
    .describe(
      "Homes that all its memories are confined to: pools of the device, LUT, registers. Left out: the rules choose.",
    ),
  max_cascade: count()
    .optional()
    .describe("Most blocks one above the other, for each of its memories. Left out: as the design says."),
  pump: wholeNumber(2, 4)
    .optional()
    .describe(
      "Most times that the blocks' clock may be faster than the design's, which has to state its clock. For each of its memories that can be pumped: those in a lockstep group, with asynchronous read or with two clocks are not. Left out: not at all.",
    ),
  realisation: z
    .enum(REALISATIONS as [Realisation, ...Realisation[]], {
      error: expected(`one of ${REALISATIONS.join(", ")}`),
    })
    .optional()
    .describe(
      "How the ports are made, for each of its memories; `pumped` needs `pump`. Left out: the cost chooses.",
    ),
  collision: z
    .enum(COLLISIONS as [Collision, ...Collision[]], {
      error: expected(`one of ${COLLISIONS.join(", ")}`),
    })
    .default("any")
    .describe(
      "What reading a word in the cycle of its write shows, for each of its memories: any, the old or the new word. Wrappers hold to it, or are refused. Default any.",
    ),
} as const;

/** The common fields as read. */
export interface CommonParameters {
  readonly name: string;
  readonly instances: number;
  readonly in?: readonly string[] | undefined;
  readonly max_cascade?: number | undefined;
  readonly pump?: number | undefined;
  readonly realisation?: Realisation | undefined;
  readonly collision?: Collision | undefined;
}

/**
 * A memory request of a structure: `part` of it (null: the structure is one memory), with the common fields
 * carried over. `fields` wins over them. A memory in a lockstep group, with asynchronous read or with two clocks is not
 * pumped.
 */
export function requestFor(
  common: CommonParameters,
  part: string | null,
  fields: Pick<MemoryRequest, "depth" | "width" | "ports" | "formula"> & Partial<MemoryRequest>,
): MemoryRequest {
  const still = (fields.lockstep ?? null) !== null || fields.read === "async" || fields.clocks === 2;
  return memoryRequest({
    name: part === null ? common.name : `${common.name}.${part}`,
    structure: common.name,
    instances: common.instances,
    homes: common.in ?? null,
    maxCascade: common.max_cascade ?? null,
    realisation: common.realisation ?? null,
    collision: common.collision ?? "any",
    pump: still ? null : (common.pump ?? null),
    ...fields,
  });
}

/** One read port and one write port. */
export const ONE_READ_ONE_WRITE = { read: 1, write: 1, readWrite: 0 } as const;
