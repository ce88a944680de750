import type { Layout, Tenant } from "../../model/index.js";
import type { MemberAccess, Reading, Writing } from "./access.js";

/** What one turn at a port of a copy's blocks does: a write, a read, or (a read-write port) one of the two. */
export interface Turn {
  readonly write: Writing | null;
  readonly read: { readonly reading: Reading; readonly key: string } | null;
}

/** A read of one copy that makes up, alone or with others, what a port shows. */
export interface Source {
  readonly copy: number;
  readonly reading: Reading;
  readonly key: string;
}

/** What every copy of a member does. */
export interface CopyPlan {
  /** Turns of each copy. */
  readonly copies: readonly (readonly Turn[])[];
  /** For each port of the member: the reads that it shows; one but for several writers, where there is one a writer. */
  readonly sources: readonly (readonly Source[])[];
}

/** Ports of a member by what they do. */
interface Side<T> {
  readonly place: number;
  readonly of: T;
}

function sides<T>(list: readonly (T | null)[]): Side<T>[] {
  return list.flatMap((of, place) => (of === null ? [] : [{ place, of }]));
}

const readTurn = (reading: Reading, key: string): Turn => ({ write: null, read: { reading, key } });
const writeTurn = (write: Writing): Turn => ({ write, read: null });

/** Reads that a copy of a ROM serves: as many as its tile with the fewest ports. */
function portsOf(tenants: readonly Tenant[], copy: number): number {
  return Math.min(...tenants.filter((t) => t.copy === copy).map(({ ports }) => ports.length));
}

function turnsOf(tenants: readonly Tenant[], copy: number): number {
  const tenant = tenants.find((t) => t.copy === copy)!;
  return tenant.turns.reduce((a, b) => a + b, 0);
}

/**
 * Which access each copy of a member serves, for the realisations with one writer or none, and for pumped ones. The
 * order of turns is the order of ports: read-write, write, read.
 */
export function copyPlan(access: MemberAccess, layout: Layout, tenants: readonly Tenant[]): CopyPlan {
  const writers = sides(access.writings);
  const readers = sides(access.readings);
  const sources: Source[][] = access.readings.map(() => []);
  const copies: Turn[][] = Array.from({ length: layout.copies }, () => []);
  const key = (place: number) => access.own.ports[place]!.port.name;
  const serve = (copy: number, { place, of }: Side<Reading>): Turn => {
    sources[place]!.push({ copy, reading: of, key: key(place) });
    return readTurn(of, key(place));
  };
  const both = (copy: number, place: number): Turn => {
    const reading = access.readings[place]!;
    const turn = reading === null ? null : serve(copy, { place, of: reading });
    return { write: access.writings[place]!, read: turn?.read ?? null };
  };
  switch (layout.realisation) {
    case "one-copy":
      copies[0]!.push(...access.own.ports.map((_, place) => both(0, place)));
      break;
    case "replication":
      if (writers.length === 0) {
        let next = 0;
        copies.forEach((turns, copy) => {
          const upTo = Math.min(readers.length, next + portsOf(tenants, copy));
          for (; next < upTo; next++) turns.push(serve(copy, readers[next]!));
        });
      } else {
        readers.forEach((reader, copy) => {
          copies[copy]!.push(writeTurn(writers[0]!.of), serve(copy, reader));
        });
      }
      break;
    case "dual-port-replication":
      copies.forEach((turns, copy) => {
        turns.push(copy === 0 ? both(0, 0) : writeTurn(writers[0]!.of));
        const reader = readers[copy + 1];
        if (reader !== undefined) turns.push(serve(copy, reader));
      });
      break;
    case "pumped": {
      // Only a read-write port that takes one turn, to read or to write, leaves fewer turns than reads and writes.
      if (layout.copies === 1 && turnsOf(tenants, 0) < writers.length + readers.length) {
        copies[0]!.push(...access.own.ports.map((_, place) => both(0, place)));
        break;
      }
      let next = 0;
      copies.forEach((turns, copy) => {
        for (const { of } of writers) turns.push(writeTurn(of));
        const upTo = Math.min(readers.length, next + turnsOf(tenants, copy) - writers.length);
        for (; next < upTo; next++) turns.push(serve(copy, readers[next]!));
      });
      break;
    }
    default:
      throw new Error(`${layout.realisation} has no plain copies`);
  }
  return { copies, sources };
}
