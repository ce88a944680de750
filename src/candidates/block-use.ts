import { type Fragment, fragmentOf } from "./fragment.js";
import { tileRows } from "./piece.js";
import type { TileOption } from "./tile-option.js";
import type { Tiling } from "./tiling.js";
import { columnRuns, type Placed, type Word } from "./word.js";

/** A rectangle of one copy of one member in a block. */
export interface UsePiece {
  readonly part: number;
  readonly member: number;
  readonly copy: number;
  /** Rows of the member, both included. */
  readonly rows: readonly [number, number];
  readonly runs: readonly Placed[];
  /** Word of the block that holds the first row. */
  readonly word: number;
  /** True where successive rows go to falling words. */
  readonly inverted: boolean;
}

/** One block in one use, or the part of one that a fragment takes. */
export interface BlockUse {
  readonly option: TileOption;
  /** Hardware write lane that the shape is set to, in bits; null: one enable for the word. */
  readonly lane: number | null;
  readonly pieces: readonly UsePiece[];
  /** Set where the use leaves room and a port that another fragment may take. */
  readonly fragment: Fragment | null;
}

/** The hardware lane of a use: none where the word needs none or the shape has one enable. */
export function laneOf(option: TileOption, word: Word): number | null {
  return word.stretches <= 1 && !option.wideWrite ? null : option.lane;
}

function splitByMember(runs: readonly Placed[]): Placed[][] {
  const groups: Placed[][] = [];
  for (const run of runs) {
    const last = groups.at(-1)?.at(-1);
    if (last !== undefined && last.part === run.part && last.member === run.member) groups.at(-1)!.push(run);
    else groups.push([run]);
  }
  return groups;
}

/** Every block use of one copy of a tiling. */
export function blockUses(tiling: Tiling, word: Word, copy: number): BlockUse[] {
  const uses: BlockUse[] = [];
  for (const stack of tiling.stacks) {
    const { option } = stack;
    const members = splitByMember(columnRuns(word, stack.start, stack.end, option.slots, option.laneBits));
    for (let index = 0; index < stack.count; index++) {
      const firstRow = stack.firstRow + index * stack.slabRows;
      const rows = tileRows(stack, index);
      uses.push({
        option,
        lane: laneOf(option, word),
        pieces: members.map((runs) => ({
          part: runs[0]!.part,
          member: runs[0]!.member,
          copy,
          rows: [firstRow, firstRow + rows - 1] as const,
          runs,
          word: 0,
          inverted: false,
        })),
        fragment: fragmentOf(option, rows),
      });
    }
  }
  return uses;
}
