import type { MemberAccess, Reading, Writing } from "./access.js";
import type { Builder } from "./builder.js";
import type { ArrayLeaf, Leaves } from "./leaves.js";
import { bitsFor } from "./logical-ports.js";
import {
  all,
  any,
  bits,
  choose,
  constant,
  type Expr,
  is,
  join,
  type Pin,
  type Signal,
  same,
  xor,
} from "./netlist.js";
import type { CopyPlan, Source, Turn } from "./turns.js";

/** Copies of a memory of several writers, and what makes each port's word of their reads. */
export interface SeveralWriters extends CopyPlan {
  /** The word of a port, from the words of its sources in order. */
  readonly combine: (place: number, words: readonly Signal[]) => Expr;
  /** Called when the words of all sources are there, those for the writers included. */
  readonly finish: (wordOf: (source: Source) => Signal) => void;
}

interface Side<T> {
  readonly place: number;
  readonly name: string;
  readonly of: T;
}

function sides<T>(access: MemberAccess, list: readonly (T | null)[]): Side<T>[] {
  return list.flatMap((of, place) =>
    of === null ? [] : [{ place, name: access.own.ports[place]!.port.name, of }],
  );
}

/**
 * Live-value table (LaForest & Steffan, FPGA 2010): writer i writes copies i*n to i*n + n - 1, one for each of n
 * readers, and a table in registers says which writer wrote last, for every word and write lane.
 */
export function liveValueTable(
  builder: Builder,
  access: MemberAccess,
  leaves: Pick<Leaves, "use">,
): SeveralWriters {
  const writers = sides(access, access.writings);
  const readers = sides(access, access.readings);
  const copies: Turn[][] = [];
  const sources: Source[][] = access.readings.map(() => []);
  writers.forEach((writer, i) => {
    readers.forEach((reader, j) => {
      const copy = i * readers.length + j;
      copies[copy] = [
        { write: writer.of, read: null },
        { write: null, read: { reading: reader.of, key: reader.name } },
      ];
      sources[reader.place]!.push({ copy, reading: reader.of, key: reader.name });
    });
  });
  const tag = bitsFor(writers.length);
  const stretches = writers[0]!.of.stretches;
  const width = tag * stretches.length;
  const leaf: ArrayLeaf = {
    sort: "array",
    home: "table",
    depth: access.stored.depth,
    width,
    lanes: stretches.map((_, index) => ({ low: index * tag, width: tag })),
    writes: writers.length,
    reads: readers.length,
    start: "zeros",
  };
  const { prefix } = access.own;
  const pins: Pin[] = [{ pin: "clk", direction: "in", value: writers[0]!.of.clock }];
  writers.forEach(({ of }, i) => {
    pins.push(
      { pin: `w${i}_lanes`, direction: "in", value: join(of.stretches.map(({ enable }) => enable)) },
      { pin: `w${i}_addr`, direction: "in", value: of.row },
      { pin: `w${i}_data`, direction: "in", value: join(stretches.map(() => constant(i, tag))) },
    );
  });
  const last = readers.map(({ of, name, place }, j) => {
    const found = builder.wire(`${prefix}${name}_last`, width);
    pins.push(
      { pin: `r${j}_addr`, direction: "in", value: of.row },
      { pin: `r${j}_data`, direction: "out", value: found },
    );
    return { place, found, of, name };
  });
  builder.comment("Who wrote last: a table in registers.");
  builder.instance(leaves.use(leaf), `${prefix}table`, pins, null);
  const picks = new Map(
    last.map(({ place, found, of, name }) => [
      place,
      access.asynchronous ? found : builder.register(`${prefix}${name}_writer`, of.clock, of.enable, found),
    ]),
  );
  return {
    copies,
    sources,
    finish: () => {},
    combine: (place, words) =>
      join(
        stretches.map(({ low, width: count }, index) => {
          const pick = bits(picks.get(place)!, index * tag, tag);
          const values = words.map((word) => bits(word, low, count));
          return values
            .slice(0, -1)
            .reduceRight<Expr>((rest, value, i) => choose(is(pick, i), value, rest), values.at(-1)!);
        }),
      ),
  };
}

/** What a writer of the exclusive-or scheme stores, one clock edge after its port's write. */
interface Stored {
  readonly writing: Writing;
  readonly data: Signal;
}

/**
 * Exclusive-or (LaForest et al., FPGA 2012): writer i has copies of its own, and stores there its data xor the words that
 * the other writers' copies hold, so that the xor of one copy of each writer is the word. It needs their words first, so
 * the block is written one clock edge later; a read in that very cycle takes the word from registers instead.
 */
export function exclusiveOr(
  builder: Builder,
  access: MemberAccess,
  rows: Map<string, Signal>,
): SeveralWriters {
  const writers = sides(access, access.writings);
  const readers = sides(access, access.readings);
  const { prefix } = access.own;
  const { width } = access.stored;
  const copies: Turn[][] = [];
  const sources: Source[][] = access.readings.map(() => []);

  const stored = writers.map(({ of, name }): Stored => {
    const data = builder.wire(`${prefix}${name}_coded`, width);
    if (access.asynchronous) return { data, writing: { ...of, data } };
    const known = rows.get(`${of.row.name} late`);
    const row = known ?? builder.register(`${of.row.name}_late`, of.clock, null, of.row);
    rows.set(`${of.row.name} late`, row);
    const enables = of.stretches.map(({ enable }, index) =>
      builder.register(`${prefix}${name}_late_en${index}`, of.clock, null, enable, 0),
    );
    const stretches = of.stretches.map((stretch, index) => ({ ...stretch, enable: enables[index]! }));
    const active = any(enables);
    return { data, writing: { ...of, row, active, data, stretches } };
  });

  /** For writer i, the reads of the others' copies. */
  const others: (Source & { readonly bank: number })[][] = writers.map(() => []);
  let copy = 0;
  const add = (bank: number, reading: Reading, key: string): Source => {
    copies[copy] = [
      { write: stored[bank]!.writing, read: null },
      { write: null, read: { reading, key } },
    ];
    copy += 1;
    return { copy: copy - 1, reading, key };
  };
  writers.forEach((_, bank) => {
    writers.forEach(({ of, name }, i) => {
      if (i === bank) return;
      const { clock, row, group, active } = of;
      const reading: Reading = { clock, row, group, enable: active, alone: active };
      others[i]!.push({ ...add(bank, reading, `${name}_before`), bank });
    });
    for (const { of, name, place } of readers) sources[place]!.push(add(bank, of, name));
  });

  const previous = stored.map(({ data, writing }, index) =>
    access.asynchronous
      ? null
      : builder.register(`${prefix}${writers[index]!.name}_previous`, writing.clock, null, data),
  );
  /** The word of a writer's copy as a read at the last edge should see it: what was being stored then comes first. */
  const effective = (bank: number, reading: Reading, word: Signal, name: string): Signal => {
    const { writing } = stored[bank]!;
    if (access.asynchronous || reading.clock.name !== writing.clock.name) return word;
    const parts = writing.stretches.map(({ low, width: count, enable }, index) => {
      const hit = all([enable, same(reading.row, writing.row)]);
      const met = builder.register(`${name}_met${index}`, reading.clock, null, hit);
      return choose(met, bits(previous[bank]!, low, count), bits(word, low, count));
    });
    return builder.named(`${name}_now`, join(parts));
  };
  return {
    copies,
    sources,
    combine: (place, words) => {
      const { name, of } = readers.find((reader) => reader.place === place)!;
      return xor(words.map((word, bank) => effective(bank, of, word, `${prefix}${name}_of${bank}`)));
    },
    finish: (wordOf) => {
      writers.forEach(({ of, name }, i) => {
        const late = access.asynchronous
          ? of.data
          : builder.register(`${prefix}${name}_late_data`, of.clock, null, of.data);
        const before = others[i]!.map((source) =>
          effective(source.bank, source.reading, wordOf(source), `${prefix}${name}_before${source.bank}`),
        );
        builder.assign(stored[i]!.data, xor([late, ...before]));
      });
    },
  };
}
