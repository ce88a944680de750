import type { Design, Device, Plan, SourceRange } from "../../model/index.js";
import { verilogBench } from "./bench/verilog-bench.js";
import { vhdlBench } from "./bench/vhdl-bench.js";
import { type Cluster, clustersOf } from "./clusters.js";
import { refusals } from "./collision.js";
import { readContents } from "./contents.js";
import { BENCH_EXTENSIONS, EXTENSIONS, type Language } from "./language.js";
import { Leaves } from "./leaves.js";
import { MANIFEST, type Manifest, manifestOf } from "./manifest.js";
import { type Wrapper, Wrapping } from "./module.js";
import { identifier, Names } from "./names.js";
import type { RtlFile } from "./rtl-file.js";
import { folded } from "./text/fold.js";
import { leafText, moduleText } from "./text/verilog.js";
import { vhdlLeaf, vhdlModule } from "./text/vhdl.js";

/** How wrappers are made. */
export interface WrapOptions {
  /** Default `verilog`. */
  readonly language?: Language;
  /** A self-checking bench beside each module; default false. */
  readonly bench?: boolean;
  /** The text of every contents file that the design names, by its name there. */
  readonly contents?: ReadonlyMap<string, string>;
}

/** Why a memory cannot be wrapped as the design asks for it. */
export interface WrapProblem {
  readonly memory: string;
  readonly message: string;
  /** Where the memory was written in the design file; null where there is no file. */
  readonly source: SourceRange | null;
}

/** Files to write, in no folder yet; or all that stands against it. */
export type WrapOutcome =
  | {
      readonly status: "wrapped";
      readonly manifest: Manifest;
      /** The manifest last. */
      readonly files: readonly RtlFile[];
    }
  | { readonly status: "refused"; readonly problems: readonly WrapProblem[] };

/** Words at start of every memory that has a contents file, by memory. */
function contentsOf(design: Design, texts: ReadonlyMap<string, string>) {
  const words = new Map<string, readonly bigint[]>();
  const problems: WrapProblem[] = [];
  for (const { name, contents, depth, width, source } of design.requests) {
    if (contents === null) continue;
    const text = texts.get(contents);
    const say = (message: string) => problems.push({ memory: name, message, source });
    if (text === undefined) {
      say(`contents: expected the text of ${contents}, found none`);
      continue;
    }
    const read = readContents(text, depth, width);
    if (read.ok) words.set(name, read.words);
    else
      for (const { line, message } of read.problems) say(`contents: ${contents}, line ${line}: ${message}`);
  }
  return { words, problems };
}

/** Name of a cluster's module: its memories, or the first of many. */
function moduleName(design: Design, { members }: Cluster): string {
  const memories = [...new Set(members.map(({ request }) => request.name))];
  const named = memories.length <= 3 ? memories : [memories[0]!, "and", `${memories.length - 1}`, "more"];
  return identifier([design.name, ...named].join("_"));
}

function filesOf(
  wrappers: readonly Wrapper[],
  leaves: Leaves,
  language: Language,
  contents: ReadonlyMap<string, readonly bigint[]> | null,
): RtlFile[] {
  const end = EXTENSIONS[language];
  const files: RtlFile[] = [];
  for (const wrapper of wrappers) {
    const { name, module, hexFiles } = wrapper;
    const text = language === "vhdl" ? vhdlModule(module) : moduleText(module, language);
    files.push({ path: name + end, text: folded(text) }, ...hexFiles);
    if (contents === null) continue;
    const bench = language === "vhdl" ? vhdlBench(wrapper, contents) : verilogBench(wrapper, contents);
    files.push({ path: wrapper.bench + BENCH_EXTENSIONS[language], text: bench.text }, ...bench.files);
  }
  for (const { name, leaf } of leaves.list()) {
    const text = language === "vhdl" ? vhdlLeaf(name, leaf) : leafText(name, leaf, language);
    files.push({ path: name + end, text: folded(text) });
  }
  return files;
}

/**
 * Wrappers for a plan: one module for each distinct set of memories that share blocks (most hold one memory), the arrays
 * that become its blocks as modules of their own, hex files of their contents, benches where asked for, and the
 * manifest. The same design and plan give the same text. Refused where a device cannot do what a memory asks for.
 */
export function wrap(plan: Plan, design: Design, device: Device, options: WrapOptions = {}): WrapOutcome {
  const { language = "verilog", bench = false, contents = new Map() } = options;
  const clusters = clustersOf(plan, design, device);
  const { words, problems } = contentsOf(design, contents);
  const refused = clusters.flatMap(refusals).map(({ request, message }): WrapProblem => {
    return { memory: request.name, message, source: request.source };
  });
  const all = [...problems, ...refused];
  const told = all.filter((one, index) => {
    return all.findIndex(({ memory, message }) => memory === one.memory && message === one.message) === index;
  });
  if (told.length > 0) return { status: "refused", problems: told };

  const names = new Names();
  const named = clusters.map((cluster) => {
    const name = names.take(moduleName(design, cluster));
    return { cluster, name, bench: names.take(`${name}_bench`) };
  });
  const leaves = new Leaves(identifier(design.name), names);
  const wrapping = new Wrapping(leaves, words);
  const wrappers = named.map(({ cluster, name, bench }) => wrapping.wrap(cluster, name, bench));
  const files = filesOf(wrappers, leaves, language, bench ? words : null);
  const manifest = manifestOf(plan, design, wrappers, files, language, bench);
  const text = `${JSON.stringify(manifest, null, 2)}\n`;
  return { status: "wrapped", manifest, files: [...files, { path: MANIFEST, text }] };
}
