import * as z from "zod";
import {
  COLLISIONS,
  type MemoryRequest,
  memoryRequest,
  type PortCounts,
  parsePorts,
  portsName,
  portTotal,
  REALISATIONS,
  readers,
  writers,
} from "../model/index.js";
import { parseFrequency } from "../model/units.js";
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

/** Text in a form of its own; `parse` gives null where it is not in that form. */
function textForm<T>(parse: (text: string) => T | null, form: string) {
  return z.string({ error: ({ input }) => wanted(form, input) }).transform((text, context) => {
    const value = parse(text);
    if (value !== null) return value;
    context.addIssue({ code: "custom", message: `expected ${form}, found ${found(text)}`, input: text });
    return z.NEVER;
  });
}

function wanted(form: string, input: unknown): string {
  return input === undefined ? `missing: expected ${form}` : `expected ${form}, found ${found(input)}`;
}

const ports = textForm(parsePorts, "ports such as 1rw, 2r1w or 1r (counts of r, w and rw)").refine(
  (value) => readers(value) > 0,
  { error: "expected at least one port that reads, found none" },
);

const membership = { group: nameText, members: count(MAX_INSTANCES).optional() };
const lockstep = z.union([
  nameText,
  z.strictObject({ ...membership, written: z.enum(["together", "apart"]).default("apart") }),
]);
const exclusive = z.union([nameText, z.strictObject(membership)]);
/** Path of a hex file, from the folder of the design file. */
const contentsPath = z.string().min(1).max(MAX_PATH);
const homeName = z.string().min(1).max(MAX_NAME);
const homes = z.union([homeName, z.array(homeName).min(1)]);

const memoryFields = z.strictObject({
  name: nameText,
  depth: count(MAX_DEPTH),
  width: count(MAX_WIDTH),
  ports,
  instances: count(MAX_INSTANCES).default(1),
  lane: count(MAX_WIDTH).optional(),
  read: z.enum(["sync", "async"]).default("sync"),
  clocks: z.union([z.literal(1), z.literal(2)]).default(1),
  lockstep: lockstep.optional(),
  exclusive: exclusive.optional(),
  realisation: z.enum(REALISATIONS).optional(),
  in: homes.optional(),
  pump: z.int().min(2).max(4).optional(),
  max_cascade: count(MAX_DEPTH).optional(),
  initial: z.boolean().optional(),
  contents: contentsPath.optional(),
  collision: z.enum(COLLISIONS).default("any"),
  read_width: count(MAX_WIDTH).optional(),
  write_width: count(MAX_WIDTH).optional(),
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
  STRUCTURES.map((s) => s.schema) as unknown as [
    z.ZodObject<{ kind: z.ZodLiteral<string>; name: z.ZodString }>,
  ],
) as unknown as z.ZodType<StructureParameters>;

/** The form of a design file. A key that it does not have is an error. */
export const designSchema = z.strictObject({
  design: nameText,
  /** Name of a device, or path of a device file. */
  device: z.string().min(1).optional(),
  clock: textForm(parseFrequency, 'a clock such as "100 MHz"').optional(),
  /** Blocks by pool, and logic units under `LUT`. */
  available: z.record(z.string(), z.int().min(0)).default({}),
  weights: z.record(z.string(), z.number().positive()).default({}),
  /** Default for every memory; blocks in depth. */
  max_cascade: count(MAX_DEPTH).optional(),
  small: z
    .strictObject({ lut_depth: z.int().min(0).optional(), register_bits: z.int().min(0).optional() })
    .default({}),
  memories: z.array(memory).default([]),
  structures: z.array(structure).default([]),
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
