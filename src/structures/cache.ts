import * as z from "zod";
import type { LockstepMembership, MemoryRequest, PortCounts } from "../model/index.js";
import { sizeName } from "../model/units.js";
import { isPowerOfTwo, sumText } from "./arithmetic.js";
import {
  bits,
  commonFields,
  count,
  countOrNone,
  flag,
  homes,
  MOST_WAYS,
  ONE_READ_ONE_WRITE,
  powerOfTwoSize,
  requestFor,
  size,
  word,
} from "./fields.js";
import { checkedWord, laneProblem } from "./lanes.js";
import { REPLACEMENTS, replacementState } from "./replacement.js";
import { defineStructure } from "./structure.js";

const fields = z.strictObject({
  kind: z.literal("cache").describe("Kind of structure."),
  ...commonFields,
  size: size().describe(
    "Data of the whole cache, with its unit, for example 16 KiB. The sets that follow, size / (ways x line), have to be a power of two.",
  ),
  ways: count(MOST_WAYS).default(1).describe("Ways of a set. Default 1: direct-mapped."),
  line: powerOfTwoSize().describe("Size of a line with its unit, a power of two of bytes, for example 64 B."),
  address: bits().describe(
    "Bits of a physical address; more than index and offset together, so that a tag is left.",
  ),
  access: bits()
    .default(64)
    .describe("Bits that one access reads from each way; a divisor of the line. Default 64."),
  refill: bits()
    .optional()
    .describe(
      "Bits that one beat of a refill writes to a way: access times a power of two, up to the line. Default: as access.",
    ),
  lane: bits()
    .optional()
    .describe("Bits under one write enable of the data. Left out: access words are written whole."),
  replacement: word(REPLACEMENTS)
    .default("tree-plru")
    .describe(
      "How the way to replace is chosen. Default tree-plru. One way has none, whatever is written here.",
    ),
  index: word(["physical", "virtual"])
    .default("physical")
    .describe("Which address picks the set; tags are physical always. Default physical."),
  page: powerOfTwoSize()
    .default(8 * 4096)
    .describe(
      "Smallest page with its unit, a power of two of bytes: what a virtual index is held against. Default 4 KiB.",
    ),
  banks: count()
    .default(1)
    .describe(
      "Banks that the data of each way is split into, by the low address of access words. Default 1.",
    ),
  error_bits: countOrNone()
    .default(0)
    .describe("Check bits added to each access word; with lanes, each lane takes an equal share. Default 0."),
  tag_error_bits: countOrNone().default(0).describe("Check bits added to each tag. Default 0."),
  snoop: flag()
    .default(false)
    .describe("A second read port on tags and state, for coherence requests. Default false."),
  data: word(["auto", "per-way", "joined"])
    .default("auto")
    .describe(
      "per-way: a data memory for each way; joined: one memory with the ways side by side; auto: a memory for each way, which may be laid side by side. Default auto.",
    ),
  state: word(["with-tag", "apart"])
    .default("with-tag")
    .describe("Valid and dirty bits: in the tag word, or a memory of their own. Default with-tag."),
  write: word(["back", "through"]).optional().describe("back keeps a dirty bit. Default back."),
  read_only: flag()
    .default(false)
    .describe("An instruction cache: written by refills alone, no dirty bit, no lanes. Default false."),
  tag_in: homes().optional().describe("Homes of tags, state and replacement state. Default: as in."),
});

/** Parameters of a cache, as read. */
export type CacheParameters = z.output<typeof fields>;

/** What follows from the parameters by division; whole numbers once the rules hold. */
function geometry(p: CacheParameters) {
  const refill = p.refill ?? p.access;
  const sets = p.size / (p.ways * p.line);
  return {
    refill,
    sets,
    wordsPerLine: p.line / p.access,
    wordsPerBeat: refill / p.access,
    indexBits: Math.log2(sets),
    offsetBits: Math.log2(p.line / 8),
  };
}

/** The rules between fields; one message each, at the field to change. */
function checkRules(p: CacheParameters, context: z.core.$RefinementCtx<CacheParameters>): void {
  const problem = (field: keyof CacheParameters, message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: p[field] });
  const { refill, sets, wordsPerLine, wordsPerBeat, indexBits, offsetBits } = geometry(p);

  if (!isPowerOfTwo(sets)) {
    const ways = `${p.ways} ways of ${sizeName(p.line)} lines`;
    problem(
      "size",
      `expected a power of two of sets: ${ways} in ${sizeName(p.size)} make ${Number(sets.toFixed(3))}`,
    );
  } else if (p.address <= indexBits + offsetBits) {
    problem(
      "address",
      `expected more bits than index ${indexBits} + offset ${offsetBits}, which leave no tag`,
    );
  }
  if (!Number.isInteger(wordsPerLine)) {
    problem("access", `expected a divisor of the line of ${p.line} bits`);
  } else {
    if (!isPowerOfTwo(wordsPerBeat) || refill > p.line) {
      const gathered = "a narrower refill is gathered into access words first";
      problem(
        "refill",
        `expected ${p.access} bits (access) times a power of two, up to the line; ${gathered}`,
      );
    }
    if (isPowerOfTwo(sets) && (!isPowerOfTwo(p.banks) || p.banks > sets * wordsPerLine)) {
      problem("banks", `expected a power of two up to the ${sets * wordsPerLine} words of a way`);
    }
  }
  if (p.lane !== undefined) {
    const wrong = p.read_only
      ? "expected no lane in a read_only cache, which is written by refills alone"
      : laneProblem(p.access, p.error_bits, p.lane);
    if (wrong !== null) problem("lane", wrong);
  }
  if (p.read_only && p.write !== undefined) problem("write", "expected no write rule in a read_only cache");
}

/** Data memories: one a way and bank, or one a bank with the ways side by side. */
function dataRequest(p: CacheParameters): MemoryRequest {
  const { refill, sets, wordsPerLine, wordsPerBeat } = geometry(p);
  const one = checkedWord(p.access, p.error_bits, p.lane ?? null);
  const depth = (sets * wordsPerLine) / p.banks;
  const joined = p.data === "joined" && p.ways > 1;
  const overBanks = p.banks > 1 ? ` / ${p.banks} banks` : "";
  const wordSum = sumText([
    ["access", p.access],
    ["check", p.error_bits],
  ]);
  // A beat of a refill spreads over the banks, since they part by the low address of words.
  const wordsWritten = Math.max(1, wordsPerBeat / p.banks);
  const beat =
    refill === p.access ? "" : `, ${wordsWritten} of them in one write of a refill of ${refill} bits`;
  return requestFor(p, "data", {
    depth,
    width: joined ? p.ways * one.width : one.width,
    ports: ONE_READ_ONE_WRITE,
    lane: joined ? (one.lane ?? one.width) : one.lane,
    instances: p.instances * p.banks * (joined ? 1 : p.ways),
    wordsPerAccess: { read: 1, write: wordsWritten },
    lockstep:
      p.data === "auto" && p.ways > 1 ? { group: `${p.name}.data`, members: p.ways, together: false } : null,
    formula: {
      depth: `sets x words per line${overBanks} = ${sets} x (${p.line} / ${p.access})${overBanks} = ${depth}${beat}`,
      width: joined ? `ways x (${wordSum}) = ${p.ways * one.width}` : wordSum,
    },
  });
}

/**
 * Bits of a tag without state: those of the physical address that the place in the cache does not tell. Where a
 * virtual index reaches above the page offset, its upper bits tell nothing about the physical address, so the tag
 * keeps every bit above the page offset.
 */
function tagParts(p: CacheParameters): (readonly [string, number])[] {
  const { indexBits, offsetBits } = geometry(p);
  const pageBits = Math.log2(p.page / 8);
  if (p.index === "virtual" && indexBits + offsetBits > pageBits) {
    return [
      ["address", p.address],
      ["page offset", -pageBits],
    ];
  }
  return [
    ["address", p.address],
    ["index", -indexBits],
    ["offset", -offsetBits],
  ];
}

/** Tags, state and replacement state: all of them looked up by set in the same cycle. */
function tagRequests(p: CacheParameters): MemoryRequest[] {
  const { sets } = geometry(p);
  const ports: PortCounts = p.snoop ? { read: 2, write: 1, readWrite: 0 } : ONE_READ_ONE_WRITE;
  const stateParts: (readonly [string, number])[] = [
    ["valid", 1],
    ["dirty", p.read_only || p.write === "through" ? 0 : 1],
  ];
  const total = (parts: readonly (readonly [string, number])[]) => parts.reduce((sum, [, n]) => sum + n, 0);
  const perSet = (
    part: string,
    members: number,
    partPorts: PortCounts,
    width: number,
    widthText: string,
  ): MemoryRequest =>
    requestFor(p, part, {
      depth: sets,
      width,
      ports: partPorts,
      instances: p.instances * members,
      homes: p.tag_in ?? p.in ?? null,
      lockstep: { group: `${p.name}.tags`, members, together: false },
      formula: {
        depth: `sets = ${sizeName(p.size)} / (${p.ways} ways x ${sizeName(p.line)}) = ${sets}`,
        width: widthText,
      },
    });

  const parts = [
    ...tagParts(p),
    ...(p.state === "with-tag" ? stateParts : []),
    ["check", p.tag_error_bits] as const,
  ];
  const requests = [perSet("tag", p.ways, ports, total(parts), sumText(parts))];
  if (p.state === "apart") {
    requests.push(perSet("state", p.ways, ports, total(stateParts), sumText(stateParts)));
  }
  const replacement = replacementState(p.replacement, p.ways);
  if (replacement.bits > 0) {
    const memory = perSet("replacement", 1, ONE_READ_ONE_WRITE, replacement.bits, replacement.formula);
    // Memories that lie side by side share their ports; the snoop port reads tags only.
    requests.push(p.snoop ? { ...memory, lockstep: null } : memory);
  }
  return requests.map((request) => {
    const lockstep = usefulGroup(request.lockstep, requests);
    return { ...request, lockstep, pump: lockstep === null ? (p.pump ?? null) : null };
  });
}

/** The membership, or null where the group has but one memory in it. */
function usefulGroup(
  lockstep: LockstepMembership | null,
  all: readonly MemoryRequest[],
): LockstepMembership | null {
  const members = all.reduce((sum, request) => sum + (request.lockstep?.members ?? 0), 0);
  return members > 1 ? lockstep : null;
}

/** Why a virtual index may find one physical line in several places, or null where it cannot. */
function aliasWarning(p: CacheParameters): string | null {
  const way = p.size / p.ways;
  if (p.index !== "virtual" || way <= p.page) return null;
  const colours = way / p.page;
  const perWay = `a way holds ${sizeName(way)} (${sizeName(p.size)} / ${p.ways} ways), more than the ${sizeName(p.page)} page`;
  const effect = `one physical line can lie at ${colours} places of each way (${colours} colours)`;
  const mend = `${p.size / p.page} ways would keep a way within the page, as would ${sizeName(p.page * p.ways)} in ${p.ways} ways`;
  return `the index is virtual and ${perWay}, so ${effect}; ${mend}`;
}

/**
 * A cache with physical tags. Gives `data`, `tag`, `state` where it is apart, and `replacement` where the rule
 * keeps any. The page limit of a virtual index: Hennessy & Patterson, Computer Architecture, appendix B.3.
 */
export const cache = defineStructure<CacheParameters>({
  kind: "cache",
  summary: "a cache: data, tags with valid and dirty bits, replacement state",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const warning = aliasWarning(p);
    return {
      requests: [dataRequest(p), ...tagRequests(p)],
      warnings: warning === null ? [] : [warning],
    };
  },
});
