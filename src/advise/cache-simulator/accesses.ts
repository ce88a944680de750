/** Accesses in arrays, so that many take little memory. An address is `high * 2^32 + low`. */
export interface AccessBatch {
  /** Accesses in the arrays, from index 0. */
  readonly length: number;
  /** Index in ACCESS_KINDS. */
  readonly kinds: Uint8Array;
  readonly low: Uint32Array;
  readonly high: Uint32Array;
  /** Where accesses come from a cache before: which access of the trace's batch each belongs to, and its bytes. */
  readonly origin?: { readonly positions: Uint32Array; readonly bytes: Uint32Array };
}

/** Accesses that a cache passes on: misses, write-backs and writes through. Its arrays grow as they are filled. */
export class PassedAccesses implements AccessBatch {
  length = 0;
  kinds: Uint8Array = new Uint8Array(1024);
  low: Uint32Array = new Uint32Array(1024);
  high: Uint32Array = new Uint32Array(1024);
  origin = { positions: new Uint32Array(1024), bytes: new Uint32Array(1024) };

  clear(): void {
    this.length = 0;
  }

  push(kind: number, low: number, high: number, bytes: number, position: number): void {
    if (this.length === this.kinds.length) this.grow();
    const at = this.length;
    this.kinds[at] = kind;
    this.low[at] = low;
    this.high[at] = high;
    this.origin.bytes[at] = bytes;
    this.origin.positions[at] = position;
    this.length = at + 1;
  }

  private grow(): void {
    const twice = (from: Uint32Array) => {
      const to = new Uint32Array(2 * from.length);
      to.set(from);
      return to;
    };
    const kinds = new Uint8Array(2 * this.kinds.length);
    kinds.set(this.kinds);
    this.kinds = kinds;
    this.low = twice(this.low);
    this.high = twice(this.high);
    this.origin = { positions: twice(this.origin.positions), bytes: twice(this.origin.bytes) };
  }
}

/** What several caches pass on, in the order of the trace; for one access, in the order of the caches. */
export function merged(sources: readonly PassedAccesses[]): PassedAccesses {
  if (sources.length === 1) return sources[0]!;
  const all = new PassedAccesses();
  const at = sources.map(() => 0);
  const position = (source: number) =>
    at[source]! < sources[source]!.length
      ? sources[source]!.origin.positions[at[source]!]!
      : Number.POSITIVE_INFINITY;
  for (;;) {
    let next = 0;
    for (let source = 1; source < sources.length; source++) {
      if (position(source) < position(next)) next = source;
    }
    if (position(next) === Number.POSITIVE_INFINITY) return all;
    const { kinds, low, high, origin } = sources[next]!;
    const index = at[next]!;
    all.push(kinds[index]!, low[index]!, high[index]!, origin.bytes[index]!, origin.positions[index]!);
    at[next] = index + 1;
  }
}
