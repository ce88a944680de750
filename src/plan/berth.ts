import type { BlockUse } from "../candidates/index.js";
import { shapeName, type Tenant } from "../model/index.js";
import type { Run } from "./instance-runs.js";

/** How a use lies in its block: which ports it takes, and where its words go. */
export interface Berth {
  readonly ports: Tenant["ports"];
  readonly turns: readonly number[];
  /** Word of the block that holds what the use has in word 0; words run the other way where inverted. */
  readonly word: number;
  readonly inverted: boolean;
}

/** What the pieces of a use are in the block of one item of a run. */
export function tenantsOf(run: Run, use: BlockUse, first: number, berth: Berth): Tenant[] {
  const { option } = use;
  return use.pieces.map((piece) => ({
    memory: run.parts[piece.part]!.request.name,
    instance: (run.firstMembers[piece.part]! + piece.member) * run.memberStep + first,
    copy: piece.copy,
    rows: piece.rows,
    bits: [piece.runs[0]!.bits[0], piece.runs.at(-1)!.bits[1]] as const,
    ports: berth.ports,
    turns: berth.turns,
    shape: shapeName(option.shape),
    lane: use.lane,
    inverted: berth.inverted ? !piece.inverted : piece.inverted,
    word: berth.inverted ? berth.word - piece.word : berth.word + piece.word,
    runs: piece.runs.map(({ bits, at }) => ({ bits, at })),
  }));
}

/** Hands out the turns of a block's ports, one tenant after the other. */
export class TurnDesk {
  private left: [number, number];

  constructor(pump: number) {
    this.left = [pump, pump];
  }

  take(use: BlockUse): Pick<Berth, "ports" | "turns"> {
    const { option } = use;
    const { stackRule, turns } = option;
    if (option.pump === 1) return { ports: option.ports, turns: option.ports.map(() => 1) };
    const onA = stackRule?.joint === true ? Math.min(turns[0], this.left[0]) : turns[0];
    const onB = stackRule?.joint === true ? turns[0] - onA : turns[1];
    this.left = [this.left[0] - onA, this.left[1] - onB];
    const used = (
      [
        ["A", onA],
        ["B", onB],
      ] as const
    ).filter(([, count]) => count > 0);
    return { ports: used.map(([port]) => port), turns: used.map(([, count]) => count) };
  }
}

/** Of a use that has its block for itself, or is the first of two. */
export function alone(use: BlockUse): Berth {
  return { ...new TurnDesk(use.option.pump).take(use), word: 0, inverted: false };
}

/** Of a use that shares a block's second port with another one, from the last word downwards. */
export function secondOfTwo(use: BlockUse): Berth {
  return { ports: ["B"], turns: [1], word: use.option.shape.depth - 1, inverted: true };
}
