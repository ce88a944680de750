import { createHash } from "node:crypto";
import type { Design, Plan, PortCounts, Realisation } from "../../model/index.js";
import type { Collision } from "../../model/request.js";
import type { Language } from "./language.js";
import { BENCH_EXTENSIONS, EXTENSIONS } from "./language.js";
import type { MemberPort } from "./logical-ports.js";
import type { Wrapper } from "./module.js";
import type { RtlFile } from "./rtl-file.js";

/** Name of the file that says what a folder of wrappers holds. */
export const MANIFEST = "ramtailor-wrap.json";

/** Names of a module's ports that make up one port of a memory; null where there is none. */
export interface ManifestPort {
  /** `r0`, `w0`, `p0` (read-write), counted by direction. */
  readonly port: string;
  readonly clock: string;
  /** Of a read, or of either access of a read-write port. */
  readonly enable: string | null;
  readonly address: string;
  /** Enable of a write port; 1 to write, at a read-write port. */
  readonly write: string | null;
  /** One enable a write lane. */
  readonly lanes: string | null;
  readonly writeData: string | null;
  readonly readData: string | null;
}

/** A memory as one module holds it. */
export interface ManifestMemory {
  readonly memory: string;
  /** Its ports in the module; those of memories in lockstep have addresses and read enables in common. */
  readonly signals: readonly ManifestPort[];
  readonly depth: number;
  readonly width: number;
  readonly ports: PortCounts;
  readonly lane: number | null;
  readonly realisation: Realisation;
  /** A pool name, `LUT` or `registers`. */
  readonly home: string;
  readonly collision: Collision;
  readonly contents: string | null;
}

/** One module and the instances of memories that it is for. */
export interface ManifestModule {
  readonly module: string;
  readonly file: string;
  /** Null where no benches were asked for. */
  readonly bench: string | null;
  /** Modules in it, all of them in files of their own. */
  readonly uses: readonly string[];
  /** Blocks in it, by kind. */
  readonly blocks: Readonly<Record<string, number>>;
  readonly memories: readonly ManifestMemory[];
  /**
   * How often it is instantiated, and what for: `count` times, of which the first serves instance `first[i]` of
   * `memories[i]`, and each further one the next instances.
   */
  readonly instances: readonly { readonly count: number; readonly first: readonly number[] }[];
}

/** What a folder of wrappers holds. */
export interface Manifest {
  readonly format: "ramtailor-wrap/1";
  readonly design: string;
  readonly device: string;
  readonly language: Language;
  /** SHA-256 of the design: its memories and limits, whatever the text looks like. */
  readonly designHash: string;
  /** SHA-256 of the plan, without what solved it. */
  readonly plan: string;
  readonly modules: readonly ManifestModule[];
  /** Every file but this one, with its SHA-256. */
  readonly files: readonly { readonly path: string; readonly sha256: string }[];
}

/** SHA-256 of a text, in hexadecimal. */
export function sha256(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

function designHash({ warnings, requests, ...design }: Design): string {
  return sha256(JSON.stringify([design, requests.map(({ source, ...request }) => request)]));
}

function planHash({ solver, warnings, ...plan }: Plan): string {
  return sha256(JSON.stringify(plan));
}

function portEntry(port: MemberPort): ManifestPort {
  return {
    port: port.port.name,
    clock: port.clock.name,
    enable: port.enable?.name ?? null,
    address: port.address.name,
    write: port.write?.name ?? null,
    lanes: port.lanes?.name ?? null,
    writeData: port.writeData?.name ?? null,
    readData: port.readData?.name ?? null,
  };
}

function moduleEntry(wrapper: Wrapper, language: Language, bench: boolean): ManifestModule {
  const { name, cluster } = wrapper;
  const blocks: Record<string, number> = {};
  for (const { kind } of cluster.blocks) blocks[kind.name] = (blocks[kind.name] ?? 0) + 1;
  return {
    module: name,
    file: name + EXTENSIONS[language],
    bench: bench ? wrapper.bench + BENCH_EXTENSIONS[language] : null,
    uses: wrapper.leaves,
    blocks,
    memories: cluster.members.map(({ request, layout }, index) => ({
      memory: request.name,
      signals: wrapper.interface.members[index]!.ports.map(portEntry),
      depth: request.depth,
      width: request.width,
      ports: request.ports,
      lane: request.lane,
      realisation: layout.realisation,
      home: layout.home,
      collision: request.collision,
      contents: request.contents,
    })),
    instances: cluster.serves,
  };
}

/** The manifest of wrappers and their files. */
export function manifestOf(
  plan: Plan,
  design: Design,
  wrappers: readonly Wrapper[],
  files: readonly RtlFile[],
  language: Language,
  bench: boolean,
): Manifest {
  return {
    format: "ramtailor-wrap/1",
    design: design.name,
    device: plan.device,
    language,
    designHash: designHash(design),
    plan: planHash(plan),
    modules: wrappers.map((wrapper) => moduleEntry(wrapper, language, bench)),
    files: files.map(({ path, text }) => ({ path, sha256: sha256(text) })),
  };
}
