import type { BlockKind, Tenant } from "../../model/index.js";
import { type MemberAccess, memberAccess } from "./access.js";
import { type BlockContext, type Tap, wireBlock } from "./block-ports.js";
import { Builder } from "./builder.js";
import type { Cluster, Member } from "./clusters.js";
import { sameport } from "./collision.js";
import { copyHasContents, hexText, placeContents, storedWords } from "./contents.js";
import { headerOf } from "./header.js";
import type { ArrayLeaf, Leaves, Start } from "./leaves.js";
import { declarePorts, type Interface } from "./logical-ports.js";
import { bits, choose, type Expr, is, join, not, type Pin, type Signal } from "./netlist.js";
import { readWord } from "./read-words.js";
import { exclusiveOr, liveValueTable, type SeveralWriters } from "./several-writers.js";
import { type Sharing, sharingOf } from "./sharing.js";
import { type CopyPlan, copyPlan, type Source, type Turn } from "./turns.js";

/** A cluster's module and all that belongs to it. */
export interface Wrapper {
  readonly name: string;
  /** Name of the bench's module. */
  readonly bench: string;
  readonly cluster: Cluster;
  readonly sharing: Sharing;
  readonly interface: Interface;
  readonly module: ReturnType<Builder["finish"]>;
  /** Names of the leaf modules in it, each once. */
  readonly leaves: readonly string[];
  /** Hex files: contents of blocks and arrays at start. */
  readonly hexFiles: readonly { readonly path: string; readonly text: string }[];
}

/** Geometry that a member is stored in: that of its layout, or, in logic, whole words of the wider side. */
function storedIn({ request, layout }: Member): { depth: number; width: number } {
  const ratio = Math.max(request.wordsPerAccess.read, request.wordsPerAccess.write);
  const logic = layout.home === "LUT" || layout.home === "registers";
  return logic ? { depth: request.depth / ratio, width: request.width * ratio } : layout.stored;
}

/** Tells the fast cycles of one cycle of the design's clock apart: 0 for the first. */
function phaseOf(builder: Builder, ports: Interface): Signal {
  const { clock, fastClock, pump } = ports;
  builder.comment("Phase of the fast clock, 0 in the first fast cycle after an edge of clk.");
  const width = pump > 2 ? 2 : 1;
  const [toggle, setToggle] = builder.laterRegister("toggle", 1, clock!, 0);
  setToggle(not(toggle));
  const seen = builder.register("toggle_seen", fastClock!, null, toggle, 0);
  const first = builder.named("first_phase", { op: "xor", parts: [toggle, seen], width: 1 });
  if (pump === 2) return builder.named("phase", not(first));
  const [count, setCount] = builder.laterRegister("phase_count", width, fastClock!, 0);
  const phase = builder.named("phase", choose(first, { op: "const", value: 0, width }, count));
  setCount({ op: "plus", a: phase, b: { op: "const", value: 1, width }, width });
  return phase;
}

/** Builds the modules of clusters. One for a design: leaves are shared. */
export class Wrapping {
  constructor(
    private readonly leaves: Leaves,
    private readonly contents: ReadonlyMap<string, readonly bigint[]>,
  ) {}

  /** The module of a cluster under a name of its own; its bench has another. */
  wrap(cluster: Cluster, name: string, bench: string): Wrapper {
    return { ...new ClusterWrapping(this.leaves, this.contents, cluster, name).run(), bench };
  }
}

class ClusterWrapping {
  private readonly builder = new Builder();
  private readonly sharing: Sharing;
  private readonly ports: Interface;
  private readonly rows = new Map<string, Signal>();
  private readonly accesses: readonly MemberAccess[];
  private readonly tenants: readonly (readonly Tenant[])[];
  private readonly used = new Set<string>();
  private readonly hexFiles: { path: string; text: string }[] = [];

  constructor(
    private readonly leaves: Leaves,
    private readonly contents: ReadonlyMap<string, readonly bigint[]>,
    private readonly cluster: Cluster,
    private readonly name: string,
  ) {
    this.sharing = sharingOf(cluster);
    this.ports = declarePorts(this.builder, cluster, this.sharing);
    this.accesses = this.ports.members.map((own, index) =>
      memberAccess(this.builder, own, storedIn(cluster.members[index]!), this.rows),
    );
    this.tenants = cluster.members.map((_, member) =>
      cluster.blocks.flatMap((block) =>
        block.tenants.filter((t) => t.member === member).map((t) => t.tenant),
      ),
    );
  }

  run(): Omit<Wrapper, "bench"> {
    const { builder, cluster, name } = this;
    if (cluster.blocks.length === 0) this.inLogic(cluster.members[0]!, this.accesses[0]!);
    else this.inBlocks();
    return {
      name,
      cluster,
      sharing: this.sharing,
      interface: this.ports,
      module: builder.finish(name, headerOf(cluster, this.sharing, this.ports)),
      leaves: [...this.used],
      hexFiles: this.hexFiles,
    };
  }

  private leaf(leaf: Parameters<Leaves["use"]>[0]): string {
    const module = this.leaves.use(leaf);
    this.used.add(module);
    return module;
  }

  private hexFile(part: string, words: readonly bigint[], width: number): string {
    const path = `${this.name}.${part}.hex`;
    this.hexFiles.push({ path, text: hexText(words, width) });
    return path;
  }

  /** Makes a word of the stored geometry into what the port shows: the word that its lower address bits pick. */
  private picked(access: MemberAccess, place: number, word: Signal, registered: boolean): Expr {
    const pick = access.pickBits[place]!;
    if (pick === 0) return word;
    const port = access.own.ports[place]!;
    const reading = access.readings[place]!;
    const { width } = access.own.request;
    const lower = bits(port.address, 0, pick);
    const select = registered
      ? this.builder.register(
          `${access.own.prefix}${port.port.name}_pick`,
          reading.clock,
          reading.enable,
          lower,
        )
      : this.builder.named(`${access.own.prefix}${port.port.name}_pick`, lower);
    const words = Array.from({ length: word.width / width }, (_, index) => bits(word, index * width, width));
    return words
      .slice(0, -1)
      .reduceRight<Expr>((rest, value, index) => choose(is(select, index), value, rest), words.at(-1)!);
  }

  /** A memory in LUT memory or in registers. */
  private inLogic({ request, layout }: Member, access: MemberAccess): void {
    const { builder } = this;
    const words = this.contents.get(request.name);
    const start: Start = words !== undefined ? "file" : request.initialContents ? "zeros" : "none";
    const file =
      words === undefined
        ? null
        : this.hexFile("array", storedWords(request, words, access.stored.width), access.stored.width);
    const writers = access.writings.filter((writing) => writing !== null);
    const lutMemory = layout.realisation === "lut-memory";
    const readers = access.readings.flatMap((reading, place) =>
      reading === null ? [] : [{ reading, place }],
    );
    const lanes = writers[0]?.stretches.map(({ low, width }) => ({ low, width })) ?? [
      { low: 0, width: access.stored.width },
    ];
    const { prefix } = access.own;
    const groups = lutMemory ? readers.map((reader) => [reader]) : [readers];
    groups.forEach((group, copy) => {
      const leaf: ArrayLeaf = {
        sort: "array",
        home: lutMemory ? "lut-memory" : "registers",
        ...access.stored,
        lanes,
        writes: writers.length,
        reads: group.length,
        start,
      };
      const pins: Pin[] = [];
      if (writers.length > 0) pins.push({ pin: "clk", direction: "in", value: writers[0]!.clock });
      writers.forEach(({ stretches, row, data }, index) => {
        const enables = builder.named(
          `${prefix}w${index}_lanes_${copy}`,
          join(stretches.map((s) => s.enable)),
        );
        pins.push(
          { pin: `w${index}_lanes`, direction: "in", value: enables },
          { pin: `w${index}_addr`, direction: "in", value: row },
          { pin: `w${index}_data`, direction: "in", value: data },
        );
      });
      const found = group.map(({ reading, place }, index) => {
        const port = access.own.ports[place]!.port;
        const word = builder.wire(`${prefix}${port.name}_word`, access.stored.width);
        pins.push(
          { pin: `r${index}_addr`, direction: "in", value: reading.row },
          { pin: `r${index}_data`, direction: "out", value: word },
        );
        return { reading, place, word, port };
      });
      builder.instance(this.leaf(leaf), lutMemory ? `copy${copy}` : "array", pins, file);
      for (const { reading, place, word, port } of found) {
        const value = this.picked(access, place, word, false);
        const out = access.asynchronous
          ? value
          : builder.register(`${prefix}${port.name}_read`, reading.clock, reading.alone, value);
        builder.assign(access.own.ports[place]!.readData!, out);
      }
    });
  }

  private inBlocks(): void {
    const { builder, cluster } = this;
    const several = new Map<number, SeveralWriters>();
    const plans = cluster.members.map((member, index): CopyPlan => {
      const access = this.accesses[index]!;
      if (member.layout.realisation === "live-value-table") {
        several.set(index, liveValueTable(builder, access, { use: (leaf) => this.leaf(leaf) }));
      } else if (member.layout.realisation === "exclusive-or") {
        several.set(index, exclusiveOr(builder, access, this.rows));
      } else return copyPlan(access, member.layout, this.tenants[index]!);
      return several.get(index)!;
    });
    const phase = this.ports.pump > 1 ? phaseOf(builder, this.ports) : null;
    const context: BlockContext = {
      accesses: this.accesses,
      tenants: this.tenants,
      turns: (member, copy): readonly Turn[] => plans[member]!.copies[copy]!,
      during: (member: number, kind: BlockKind) => sameport(cluster.members[member]!.request, kind),
      fastClock: this.ports.fastClock,
      phase,
    };
    const taps = new Map<string, Tap>();
    cluster.blocks.forEach((block, index) => {
      const name = `b${index}`;
      builder.comment(
        `${block.kind.name}${block.pump > 1 ? `, clocked ${block.pump} times faster` : ""}: ${holdings(this.cluster, index)}.`,
      );
      const { ports, pins, taps: found } = wireBlock(builder, block, name, context);
      for (const [key, tap] of found) taps.set(key, tap);
      const unit = Math.min(...ports.map(({ width }) => width));
      const units = Math.max(...ports.map(({ depth, width }) => (depth * width) / unit));
      const start = this.startOf(block);
      const file = start === "file" ? this.imageOf(index, unit, units) : null;
      const pumped = block.pump > 1;
      const leaf = { sort: "block", kind: block.kind.name, pumped, unit, units, ports, start } as const;
      builder.instance(this.leaf(leaf), name, pins, file);
    });
    cluster.members.forEach((_, member) => {
      this.reads(member, plans[member]!, several.get(member) ?? null, taps, phase);
    });
  }

  private reads(
    member: number,
    plan: CopyPlan,
    several: SeveralWriters | null,
    taps: ReadonlyMap<string, Tap>,
    phase: Signal | null,
  ): void {
    const { builder } = this;
    const access = this.accesses[member]!;
    builder.comment(`What the reads of ${access.own.request.name} show.`);
    const context = {
      member,
      access,
      tenants: this.tenants[member]!,
      taps,
      pump: this.ports.pump,
      fastClock: this.ports.fastClock,
      phase,
      banks: new Map(),
    };
    several?.finish((source: Source) => readWord(builder, source, context));
    plan.sources.forEach((sources, place) => {
      const port = access.own.ports[place]!;
      if (port.readData === null) return;
      const words = sources.map((source) => readWord(builder, source, context));
      const stem = `${access.own.prefix}${port.port.name}_stored`;
      const word = several === null ? words[0]! : builder.named(stem, several.combine(place, words));
      builder.assign(port.readData, this.picked(access, place, word, !access.asynchronous));
    });
  }

  /** Where a block's first contents come from. Sums that are exclusive-ors need some defined value to start from. */
  private startOf(block: Cluster["blocks"][number]): Start {
    const members = block.tenants.map(({ member }) => this.cluster.members[member]!);
    if (members.some(({ request }) => this.contents.has(request.name))) return "file";
    const zeros = members.some(
      ({ request, layout }) => request.initialContents || layout.realisation === "exclusive-or",
    );
    return zeros ? "zeros" : "none";
  }

  private imageOf(index: number, unit: number, units: number): string {
    const image = Array<bigint>(units).fill(0n);
    for (const { member, tenant } of this.cluster.blocks[index]!.tenants) {
      const { request, layout } = this.cluster.members[member]!;
      const words = this.contents.get(request.name);
      if (words === undefined || !copyHasContents({ request, layout }, tenant.copy)) continue;
      placeContents(image, unit, tenant, storedWords(request, words, layout.stored.width));
    }
    return this.hexFile(`b${index}`, image, unit);
  }
}

/** Who lives in a block, for a comment. */
function holdings(cluster: Cluster, index: number): string {
  return cluster.blocks[index]!.tenants.map(({ member, tenant }) => {
    const { request, layout } = cluster.members[member]!;
    const same = cluster.members.filter((other) => other.request === request);
    const which = same.length > 1 ? `[${same.indexOf(cluster.members[member]!)}]` : "";
    const copy = layout.copies > 1 ? `, copy ${tenant.copy}` : "";
    const inverted = tenant.inverted ? ", inverted" : "";
    const [rows, columns] = [tenant.rows.join(" to "), tenant.bits.join(" to ")];
    return `${request.name}${which}${copy} rows ${rows}, bits ${columns} as ${tenant.shape}${inverted}`;
  }).join("; ");
}
