import * as z from "zod";
import {
  COLLISIONS,
  type MemoryRequest,
  memoryRequest,
  PORTS_PATTERN,
  type PortCounts,
  parsePorts,
  portsName,
  portTotal,
  REALISATIONS,
  readers,
  writers,
} from "../model/index.js";
import { FREQUENCY_PATTERN, parseFrequency } from "../model/units.js";
import { STRUCTURES } from "../structures/index.js";
import type { DiagnosticCode } from "./diagnostics.js";
import { found } from "./explain-issue.js";
import { MAX_DEPTH, MAX_INSTANCES, MAX_NAME, MAX_PATH, MAX_WIDTH } from "./limits.js";

/** A whole number from 1. */
const count = (most: number) => z.int().min(1).max(most);

const nameText = z
  .string()
  .min(1)
  .max(MAX_NAME)
  .regex(/^[A-Za-z0-9_-]*$/, {
    error: ({ input }) => `expected letters, digits, _ and - only, found ${found(input)}`,
  });

/**
 * Text in a form of its own; `parse` gives null where it is not in that form. `pattern` is what of the form a regular
 * expression can say, for editors.
 */
function textForm<T>(parse: (text: string) => T | null, form: string, pattern: string) {
  const text = z.string({ error: ({ input }) => wanted(form, input) }).meta({ pattern });
  return text.transform((text, context) => {
    const value = parse(text);
    if (value !== null) return value;
    context.addIssue({ code: "custom", message: `expected ${form}, found ${found(text)}`, input: text });
    return z.NEVER;
  });
}

function wanted(form: string, input: unknown): string {
  return input === undefined ? `missing: expected ${form}` : `expected ${form}, found ${found(input)}`;
}

const ports = textForm(
  parsePorts,
  "ports such as 1rw, 2r1w or 1r (counts of r, w and rw)",
  PORTS_PATTERN,
).refine((value) => readers(value) > 0, { error: "expected at least one port that reads, found none" });

const membership = {
  group: nameText.describe("Name of the group: letters, digits, _ and -."),
  members: count(MAX_INSTANCES)
    .optional()
    .describe("Instances of this memory in one copy of the group; a divisor of instances. Default: all."),
};
const lockstep = z.union([
  nameText,
  z.strictObject({
    ...membership,
    written: z
      .enum(["together", "apart"])
      .default("apart")
      .describe(
        "together: written in the very cycles in which the group's other such members are. Default apart.",
      ),
  }),
]);
const exclusive = z.union([nameText, z.strictObject(membership)]);
/** Path of a hex file, from the folder of the design file. */
const contentsPath = z.string().min(1).max(MAX_PATH);
const homeName = z.string().min(1).max(MAX_NAME);
const homes = z.union([homeName, z.array(homeName).min(1)]);

const memoryFields = z.strictObject({
  name: nameText.describe("Name of the memory, unique in the design: letters, digits, _ and -."),
  depth: count(MAX_DEPTH).describe("Words. A multiple of the words that a wide side moves at once."),
  width: count(MAX_WIDTH).describe("Bits in a word."),
  ports: ports.describe(
    "Counts of read (r), write (w) and read-write ports (rw), at least one that reads: 1rw, 2r1w, or 1r for a ROM.",
  ),
  instances: count(MAX_INSTANCES)
    .default(1)
    .describe("Identical copies of the memory in the system. Default 1."),
  lane: count(MAX_WIDTH)
    .optional()
    .describe(
      "Bits under one write enable, at most the width; none for a ROM. Left out: the word is written whole.",
    ),
  read: z
    .enum(["sync", "async"])
    .default("sync")
    .describe("async: data comes in the cycle of the address, which block RAM cannot do. Default sync."),
  clocks: z
    .union([z.literal(1), z.literal(2)])
    .default(1)
    .describe("2 where the ports run on two clocks, which takes two ports. Default 1."),
  lockstep: lockstep
    .optional()
    .describe(
      "Group whose memories see one address in every cycle, so that they may lie side by side: its name, or a mapping. Not together with exclusive. Left out: none.",
    ),
  exclusive: exclusive
    .optional()
    .describe(
      "Group of which one memory at most is accessed in a cycle, so that they may share a port: its name, or a mapping. Not together with lockstep. Left out: none.",
    ),
  realisation: z
    .enum(REALISATIONS)
    .optional()
    .describe("How the ports are made; `pumped` needs `pump`. Left out: the cost chooses."),
  in: homes
    .optional()
    .describe(
      "Where it may go: a pool of the device, LUT or registers, or a list of them. Left out: the rules choose.",
    ),
  pump: z
    .int()
    .min(2)
    .max(4)
    .optional()
    .describe(
      "Most times that its blocks' clock may be faster than the design's, which has to state its clock. Not for a memory in a group, with asynchronous read or with two clocks. Left out: not at all.",
    ),
  max_cascade: count(MAX_DEPTH)
    .optional()
    .describe("Most blocks one above the other. Left out: as the design says."),
  initial: z
    .boolean()
    .optional()
    .describe(
      "Whether it needs contents at start. Default: only where nothing writes it or a file gives them, and then it has to be true.",
    ),
  contents: contentsPath
    .optional()
    .describe(
      "Path of a hex file with its contents at start, from the folder of the design file; wrappers hold it. Left out: none.",
    ),
  collision: z
    .enum(COLLISIONS)
    .default("any")
    .describe(
      "What reading a word in the cycle of its write shows: any, the old or the new word; wrappers hold to it. Default any.",
    ),
  read_width: count(MAX_WIDTH)
    .optional()
    .describe(
      "Bits that one read moves: the width, or for a 1r1w memory the width times a power of two. Default: the width.",
    ),
  write_width: count(MAX_WIDTH)
    .optional()
    .describe(
      "Bits that one write moves: the width, or for a 1r1w memory the width times a power of two. Default: the width. Only one of the two sides may be wider.",
    ),
});

type MemoryFields = z.output<typeof memoryFields>;

/** A rule that one memory entry breaks: the key to point at, and the words. */
interface Broken {
  readonly key: keyof MemoryFields;
  /** A key inside the value of that key. */
  readonly inner?: string;
  readonly message: string;
}

/** What is wrong with the widths of the two sides, if they differ. */
function widthRules(fields: MemoryFields): Broken[] {
  const { depth, width, read_width = width, write_width = width } = fields;
  if (read_width === width && write_width === width) return [];
  const key = fields.read_width !== undefined && read_width !== width ? "read_width" : "write_width";
  if (Math.min(read_width, write_width) !== width) {
    const message = `expected the narrower side to be the width of the memory, ${width}, found ${read_width} to read and ${write_width} to write`;
    return [{ key, message }];
  }
  const broken: Broken[] = [];
  const ratio = Math.max(read_width, write_width) / width;
  if (portsName(fields.ports) !== "1r1w") {
    const message = `expected ports 1r1w where the sides differ in width, found ${portsName(fields.ports)}`;
    broken.push({ key, message });
  }
  if (!Number.isInteger(Math.log2(ratio))) {
    const message = `expected the width of the memory, ${width}, times a power of two, found ${ratio * width}`;
    broken.push({ key, message });
  } else if (depth % ratio !== 0) {
    const message = `expected a multiple of the ${ratio} words that the wide side moves at once, found ${depth}`;
    broken.push({ key: "depth", message });
  }
  return broken;
}

/** What keeps a memory from being pumped; null: nothing. */
function pumpHindrance({ clocks, read, lockstep, exclusive }: MemoryFields): string | null {
  if (clocks === 2) return "a memory of two clocks";
  if (read === "async") return "a memory that reads asynchronously";
  if (lockstep !== undefined) return "a memory in a lockstep group";
  return exclusive !== undefined ? "a memory in an exclusive group" : null;
}

/** All rules that one memory entry breaks. */
function memoryRules(fields: MemoryFields): Broken[] {
  const broken: Broken[] = [];
  const { lane, width } = fields;
  const ports: PortCounts = fields.ports;
  if (lane !== undefined && lane > width) {
    broken.push({
      key: "lane",
      message: `expected at most the width of the memory, ${width}, found ${lane}`,
    });
  }
  if (lane !== undefined && writers(ports) === 0) {
    broken.push({
      key: "lane",
      message: `expected no lane for a memory without a write port, found ${lane}`,
    });
  }
  if (fields.clocks === 2 && portTotal(ports) < 2) {
    broken.push({ key: "clocks", message: `expected 1 for a memory of one port, found 2` });
  }
  if (fields.initial === false && writers(ports) === 0) {
    broken.push({ key: "initial", message: "expected true for a memory without a write port, found false" });
  }
  if (fields.initial === false && fields.contents !== undefined) {
    broken.push({ key: "initial", message: "expected true for a memory with contents, found false" });
  }
  if (fields.pump !== undefined) {
    const hindrance = pumpHindrance(fields);
    const message = `expected no pump for ${hindrance}, found ${fields.pump}`;
    if (hindrance !== null) broken.push({ key: "pump", message });
  } else if (fields.realisation === "pumped") {
    broken.push({ key: "realisation", message: 'expected the key "pump" beside pumped, found none' });
  }
  if (fields.lockstep !== undefined && fields.exclusive !== undefined) {
    const message = "expected a lockstep group or an exclusive group, found both";
    broken.push({ key: "exclusive", message });
  }
  for (const key of ["lockstep", "exclusive"] as const) {
    const group = fields[key];
    if (typeof group !== "object" || group.members === undefined) continue;
    if (fields.instances % group.members === 0) continue;
    const message = `expected members to divide the ${fields.instances} instances, found ${group.members}`;
    broken.push({ key, inner: "members", message });
  }
  return [...broken, ...widthRules(fields)];
}

const GROUP_KEYS: readonly string[] = ["lockstep", "exclusive"];

const memory = memoryFields.superRefine((fields, context) => {
  for (const { key, inner, message } of memoryRules(fields)) {
    const diagnostic: DiagnosticCode = GROUP_KEYS.includes(key) ? "group-rule" : "port-rule";
    const path = inner === undefined ? [key] : [key, inner];
    context.addIssue({ code: "custom", message, path, params: { diagnostic }, input: fields[key] });
  }
});

/** What every structure's parameters have; the rest is the structure's own. */
export interface StructureParameters {
  readonly kind: string;
  readonly name: string;
  readonly pump?: number | undefined;
}

const structure = z.discriminatedUnion(
  "kind",
  STRUCTURES.map((s) => s.schema.describe(s.summary)) as unknown as [
    z.ZodObject<{ kind: z.ZodLiteral<string>; name: z.ZodString }>,
  ],
) as unknown as z.ZodType<StructureParameters>;

/** The form of a design file. A key that it does not have is an error. */
export const designSchema = z.strictObject({
  design: nameText.describe("Name of the design: letters, digits, _ and -."),
  device: z
    .string()
    .min(1)
    .optional()
    .describe("Name of a device, or path of a device file. Left out: the command names it."),
  clock: textForm(parseFrequency, 'a clock such as "100 MHz"', FREQUENCY_PATTERN)
    .optional()
    .describe(
      "System clock with its unit, for example 100 MHz; blocks that are slower are not used. Left out: no limit.",
    ),
  available: z
    .record(z.string(), z.int().min(0))
    .default({})
    .describe(
      "Blocks that the design may use, by pool, and logic units under LUT. What is not named: the whole part.",
    ),
  weights: z
    .record(z.string(), z.number().positive())
    .default({})
    .describe(
      "Cost of one block of a pool in the sum that is made least. What is not named: in proportion to its bits.",
    ),
  max_cascade: count(MAX_DEPTH)
    .optional()
    .describe(
      "Most blocks one above the other, for every memory that does not say otherwise. Left out: no limit.",
    ),
  small: z
    .strictObject({
      lut_depth: z
        .int()
        .min(0)
        .optional()
        .describe(
          "Words up to which a memory may go to LUT memory. Default: the deepest LUT memory of the device.",
        ),
      register_bits: z
        .int()
        .min(0)
        .optional()
        .describe("Bits up to which a memory may go to registers. Default 512."),
    })
    .default({})
    .describe("When a small memory may leave block RAM unasked."),
  memories: z
    .array(memory)
    .default([])
    .describe(
      "Memories as they are. A design needs an entry here or in structures; no two entries of a design have the same name.",
    ),
  structures: z
    .array(structure)
    .default([])
    .describe("Structures that memories are derived from. A design needs an entry here or in memories."),
});

/** A design file that follows the form, defaults filled in. */
export type DesignFile = z.output<typeof designSchema>;
export type MemoryEntry = DesignFile["memories"][number];

/** A memory entry as a request, but for where it stands in the file. */
export function requestOf(entry: MemoryEntry): MemoryRequest {
  const { lockstep, exclusive, width, instances, initial, ports } = entry;
  const group = (of: { group: string; members?: number | undefined } | string) =>
    typeof of === "string"
      ? { group: of, members: instances }
      : { group: of.group, members: of.members ?? instances };
  const together = typeof lockstep === "object" && lockstep.written === "together";
  return memoryRequest({
    name: entry.name,
    depth: entry.depth,
    width,
    ports,
    instances,
    lane: entry.lane ?? null,
    read: entry.read,
    clocks: entry.clocks,
    lockstep: lockstep === undefined ? null : { ...group(lockstep), together },
    exclusive: exclusive === undefined ? null : group(exclusive),
    wordsPerAccess: {
      read: (entry.read_width ?? width) / width,
      write: (entry.write_width ?? width) / width,
    },
    realisation: entry.realisation ?? null,
    homes: entry.in === undefined ? null : [entry.in].flat(),
    pump: entry.pump ?? null,
    maxCascade: entry.max_cascade ?? null,
    initialContents: initial ?? (entry.contents !== undefined || writers(ports) === 0),
    contents: entry.contents ?? null,
    collision: entry.collision,
  });
}
