import { shapeName } from "../../model/index.js";
import { Names } from "./names.js";

/** What a port of a block shows of a word that it writes itself: the word before, after, or what it showed already. */
export type During = "hold" | "old" | "new";

/** One port of a block. */
export interface BlockLeafPort {
  readonly name: "a" | "b";
  readonly depth: number;
  readonly width: number;
  /** Bits under one write enable; the width where the word has one. */
  readonly lane: number;
  readonly writes: boolean;
  readonly reads: boolean;
  readonly during: During;
  /** True where data follows the address without a clock. */
  readonly asynchronous: boolean;
}

/** Where the first contents come from: nowhere, zeros, or a hex file that each instance names. */
export type Start = "none" | "zeros" | "file";

/** A behavioural array of exactly a planned shape: it becomes one block. */
export interface BlockLeaf {
  readonly sort: "block";
  readonly kind: string;
  readonly pumped: boolean;
  /** Bits of the narrowest port's word, and how many such words the array has. */
  readonly unit: number;
  readonly units: number;
  readonly ports: readonly BlockLeafPort[];
  readonly start: Start;
}

/** An array outside block RAM with asynchronous reads: LUT memory, registers, or a live-value table. */
export interface ArrayLeaf {
  readonly sort: "array";
  readonly home: "lut-memory" | "registers" | "table";
  readonly depth: number;
  readonly width: number;
  /** Write lanes: bits `low` to `low + width - 1`, ascending, without gaps. */
  readonly lanes: readonly { readonly low: number; readonly width: number }[];
  readonly writes: number;
  readonly reads: number;
  readonly start: Start;
}

export type Leaf = BlockLeaf | ArrayLeaf;

function leafName(leaf: Leaf): string {
  if (leaf.sort === "array") {
    const name = { "lut-memory": "lut_memory", registers: "registers", table: "table" }[leaf.home];
    const lanes = leaf.lanes.length > 1 ? `_lane${leaf.lanes[0]!.width}` : "";
    const start = leaf.start === "file" ? "_contents" : "";
    return `${name}_${leaf.depth}x${leaf.width}${lanes}_${leaf.reads}r${leaf.writes}w${start}`;
  }
  const ports = leaf.ports.map(({ depth, width, lane, reads, writes, during, asynchronous }) => {
    const does = `${reads ? (asynchronous ? "a" : "r") : ""}${writes ? "w" : ""}`;
    const lanes = writes && lane < width ? `_lane${lane}` : "";
    return `${shapeName({ depth, width })}_${does}${reads && writes ? `_${during}` : ""}${lanes}`;
  });
  const start = leaf.start === "file" ? ["contents"] : leaf.start === "zeros" ? ["zeros"] : [];
  return [leaf.kind.toLowerCase(), ...ports, ...start].join("_");
}

/** All leaves of a design, each once, with the names of their modules. */
export class Leaves {
  private readonly byKey = new Map<string, { readonly name: string; readonly leaf: Leaf }>();

  constructor(
    private readonly prefix: string,
    private readonly names: Names = new Names(),
  ) {}

  /** The name of the module of a leaf. */
  use(leaf: Leaf): string {
    const key = JSON.stringify(leaf);
    let entry = this.byKey.get(key);
    if (entry === undefined) {
      entry = { name: this.names.take(`${this.prefix}_${leafName(leaf)}`), leaf };
      this.byKey.set(key, entry);
    }
    return entry.name;
  }

  /** Names and leaves in the order of first use. */
  list(): { readonly name: string; readonly leaf: Leaf }[] {
    return [...this.byKey.values()];
  }
}
