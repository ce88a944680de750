import type { DesignEdit, MemoryEntry } from "../../input/index.js";
import { sizeName } from "../../model/index.js";
import type { CacheParameters } from "../../structures/cache.js";
import type { DirectionPredictorParameters } from "../../structures/direction-predictor.js";
import type { ScratchpadParameters } from "../../structures/scratchpad.js";
import type { Effect } from "./change.js";
import type { Entry, Structure, Subject } from "./subject.js";

/** A number of an entry that may be made larger or smaller, step by step. */
export interface Dimension {
  readonly subject: string;
  /** What is counted, in the plural: `words`, `bits a word`, `ways`. */
  readonly noun: string;
  readonly from: number;
  /** Steps between two values; `double`: each value is twice the one before. */
  readonly step: number | "double";
  /** The edits that give it a value. */
  readonly edits: (value: number) => readonly DesignEdit[];
  /** The smallest value that trimming may try; null: it is not trimmed. */
  readonly least: number | null;
  /** What taking some of it away does to the architecture. */
  readonly trimmed: Exclude<Effect, "same">;
  /** True where an address picks one of them, so that more than a power of two of them take another address bit. */
  readonly addressed: boolean;
  /** Whether a value is inside the rules that reading a design does not check. */
  readonly legal: (value: number) => boolean;
}

/** The value after some steps up (or down, below 0); null where there is none. */
export function valueAt({ from, step, legal }: Dimension, steps: number): number | null {
  const value = step === "double" ? from * 2 ** steps : from + steps * step;
  return Number.isSafeInteger(value) && value >= 0 && legal(value) ? value : null;
}

type Fields = Pick<Dimension, "noun" | "from" | "edits"> & Partial<Dimension>;

function dimension(subject: string, fields: Fields): Dimension {
  return { subject, step: 1, least: null, trimmed: "size", addressed: false, legal: () => true, ...fields };
}

/** Most of a number that trimming takes away, where nothing else limits it: a quarter. */
const TRIMMED_SHARE = 0.25;

function threeQuarters(from: number): number {
  return Math.ceil(from * (1 - TRIMMED_SHARE));
}

/** A plain number under one key, which trimming may take a quarter from. */
function counted(
  name: string,
  key: string,
  noun: string,
  from: number,
  fields: Partial<Dimension> = {},
): Dimension {
  const edits = (value: number) => [{ path: `${name}.${key}`, value }];
  return dimension(name, { noun, from, edits, least: threeQuarters(from), ...fields });
}

const BEHAVIOUR = { trimmed: "behaviour" } as const;
const ENTRIES = { step: "double", addressed: true, least: null } as const;

/** Depth of a memory, and of all that lie in lockstep with it, which have to be as deep; and its width. */
function ofMemory(memory: MemoryEntry, subject: Subject): Dimension[] {
  const { name, depth, width, lane, lockstep } = memory;
  const group = (of: typeof lockstep) => (typeof of === "object" ? of.group : of);
  const peers = subject.file.memories.filter(
    (other) => lockstep !== undefined && group(other.lockstep) === group(lockstep),
  );
  const others = peers.map((peer) => peer.name).filter((peer) => peer !== name);
  const ratio = Math.max(memory.read_width ?? width, memory.write_width ?? width) / width;
  const words = dimension(name, {
    noun: others.length === 0 ? "words" : `words (with ${others.join(", ")})`,
    from: depth,
    step: ratio,
    edits: (value) => [name, ...others].map((each) => ({ path: `${each}.depth`, value })),
    least: threeQuarters(depth),
    addressed: true,
  });
  const first = peers.length === 0 || peers[0]!.name === name;
  const bits = counted(name, "width", "bits a word", width, { step: lane ?? 1 });
  return [...(first ? [words] : []), ...(ratio === 1 ? [bits] : [])];
}

function ofCache(p: CacheParameters): Dimension[] {
  const { name, ways, size } = p;
  const sets = size / (ways * p.line);
  const wayFits = (bits: number) => p.index === "physical" || bits <= p.page;
  const lanes = p.lane === undefined ? 1 : p.access / p.lane;
  const checked = { step: lanes, least: 0, ...BEHAVIOUR };
  return [
    dimension(name, {
      noun: "ways",
      from: ways,
      edits: (value) => [
        { path: `${name}.ways`, value },
        { path: `${name}.size`, value: sizeName((size / ways) * value) },
      ],
      least: threeQuarters(ways),
    }),
    dimension(name, {
      noun: "sets",
      from: sets,
      step: "double",
      addressed: true,
      edits: (value) => [{ path: `${name}.size`, value: sizeName(ways * p.line * value) }],
      legal: (value) => wayFits(value * p.line),
    }),
    counted(name, "address", "address bits", p.address, BEHAVIOUR),
    counted(name, "error_bits", "check bits a word", p.error_bits, checked),
    counted(name, "tag_error_bits", "check bits a tag", p.tag_error_bits, { least: 0, ...BEHAVIOUR }),
  ];
}

/** Ways and sets of a table that is looked up in sets, or the entries of one that is fully associative. */
function ofTable(name: string, entries: number, ways: number | "full"): Dimension[] {
  if (ways === "full") return [counted(name, "entries", "entries", entries)];
  const sets = entries / ways;
  return [
    dimension(name, {
      noun: "ways",
      from: ways,
      edits: (value) => [
        { path: `${name}.ways`, value },
        { path: `${name}.entries`, value: sets * value },
      ],
    }),
    dimension(name, {
      noun: "sets",
      from: sets,
      step: "double",
      addressed: true,
      edits: (value) => [{ path: `${name}.entries`, value: ways * value }],
    }),
  ];
}

function ofPredictor(p: DirectionPredictorParameters): Dimension[] {
  const { name } = p;
  const counter = counted(name, "counter", "bits a counter", p.counter, BEHAVIOUR);
  switch (p.scheme) {
    case "bimodal":
      return [counted(name, "entries", "entries", p.entries, ENTRIES), counter];
    case "global-history": {
      if (p.entries !== undefined) return [counted(name, "entries", "entries", p.entries, ENTRIES), counter];
      return [counted(name, "history", "bits of history", p.history, { least: null }), counter];
    }
    case "correlating": {
      const history = counted(name, "history", "bits of history", p.history, { least: null });
      return [counted(name, "entries", "entries", p.entries, ENTRIES), history, counter];
    }
    case "local":
      return [
        counted(name, "entries", "histories", p.entries, ENTRIES),
        counted(name, "history", "bits of history", p.history, { least: null }),
        counter,
      ];
    case "tagged":
      return ofTagged(p, counter);
  }
}

function ofTagged(
  p: Extract<DirectionPredictorParameters, { scheme: "tagged" }>,
  counter: Dimension,
): Dimension[] {
  const { name, tables } = p;
  const useful = counted(name, "useful", "bits of use", p.useful, { least: 0, ...BEHAVIOUR });
  const table = (key: string, what: string, entries: number, tag: number) => [
    counted(name, `${key}.entries`, `entries of ${what}`, entries, ENTRIES),
    counted(name, `${key}.tag`, `tag bits of ${what}`, tag, BEHAVIOUR),
  ];
  const inTables =
    "count" in tables
      ? [
          counted(name, "tables.count", "tables", tables.count, { least: null }),
          ...table("tables", "each table", tables.entries, tables.tag),
        ]
      : tables.flatMap(({ entries, tag }, i) => table(`tables.${i}`, `table ${i + 1}`, entries, tag));
  const base =
    p.base === undefined
      ? []
      : [counted(name, "base.entries", "entries of the base", p.base.entries, ENTRIES)];
  return [...base, ...inTables, counter, useful];
}

function ofScratchpad(p: ScratchpadParameters): Dimension[] {
  const words = p.size / p.width;
  const lanes = p.lane === undefined ? 1 : p.width / p.lane;
  return [
    dimension(p.name, {
      noun: "words",
      from: words,
      step: p.banks,
      edits: (value) => [{ path: `${p.name}.size`, value: sizeName(value * p.width) }],
      least: threeQuarters(words),
      addressed: true,
    }),
    counted(p.name, "error_bits", "check bits a word", p.error_bits, { step: lanes, least: 0, ...BEHAVIOUR }),
  ];
}

function ofStructure(p: Structure): Dimension[] {
  const { name } = p;
  switch (p.kind) {
    case "cache":
      return ofCache(p);
    case "tlb":
      return [
        ...ofTable(name, p.entries, p.ways),
        counted(name, "asid", "bits of the address space identifier", p.asid, { least: 0, ...BEHAVIOUR }),
      ];
    case "branch-target-buffer": {
      const optional = (["tag", "target"] as const).flatMap((key) => {
        const from = p[key];
        return from === undefined ? [] : [counted(name, key, `${key} bits`, from, BEHAVIOUR)];
      });
      const whole =
        p.tag === undefined ? [counted(name, "address", "address bits", p.address, BEHAVIOUR)] : [];
      const extra = counted(name, "extra", "further bits of an entry", p.extra, { least: 0, ...BEHAVIOUR });
      return [...ofTable(name, p.entries, p.ways), ...whole, ...optional, extra];
    }
    case "direction-predictor":
      return ofPredictor(p);
    case "register-file":
      return [counted(name, "entries", "registers", p.entries, { addressed: true, least: null })];
    case "return-stack":
      return [counted(name, "entries", "entries", p.entries, { addressed: true })];
    case "fifo":
      return [
        counted(name, "depth", "words", p.depth, { addressed: true }),
        counted(name, "width", "bits a word", p.width),
      ];
    case "line-buffer":
      return [
        counted(name, "pixels", "words a line", p.pixels, { addressed: true }),
        counted(name, "width", "bits a word", p.width),
      ];
    case "scratchpad":
      return ofScratchpad(p);
    case "rom": {
      const words = p.depth ?? p.size! / p.width;
      const edits = (value: number) =>
        p.depth === undefined
          ? [{ path: `${name}.size`, value: sizeName(value * p.width) }]
          : [{ path: `${name}.depth`, value }];
      return [
        dimension(name, { noun: "words", from: words, edits, least: threeQuarters(words), addressed: true }),
      ];
    }
  }
}

/** Every number of an entry that can be made larger or smaller by itself. */
export function dimensionsOf(entry: Entry, subject: Subject): Dimension[] {
  return entry.list === "memories" ? ofMemory(entry.memory, subject) : ofStructure(entry.structure);
}
