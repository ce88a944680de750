import { type DesignEdit, type DesignRead, editDesign } from "../../input/index.js";
import type { Device } from "../../model/index.js";
import { type PackOptions, pack } from "../../plan/pack.js";
import { type BestOptions, bestSequence, type Sequence } from "./best.js";
import { CHANGE_KINDS, type Change, type ChangeKind, type Effect, overlaps, touched } from "./change.js";
import { takesNoMore } from "./kinds/grow.js";
import { PROPOSERS } from "./kinds/index.js";
import { compare, savesBlocks } from "./rank.js";
import { entriesOf, type Subject } from "./subject.js";
import { type Figures, packerOf, type Trial } from "./trial.js";

/** What to look for, and how to pack. */
export interface ReshapeOptions extends PackOptions {
  /** Effects that changes may have beside `same`; free growth is always among them. Default none. */
  readonly allow?: readonly Exclude<Effect, "same">[] | undefined;
  /** Places of the design that no change may touch: `l1d`, `l1d.ways`. Default none. */
  readonly keep?: readonly string[] | undefined;
  /** Also search for the best combination; null (the default): do not. */
  readonly best?: BestOptions | null | undefined;
  /** Called as kinds of change are looked through: a kind counts one, and so does the search for the best combination. */
  readonly onProgress?: ((progress: { readonly done: number; readonly total: number }) => void) | undefined;
}

/** A change that is worth making, with what packing the whole design again came to. */
export interface ReshapeRow extends Change {
  /** From 1, in the order of the list. */
  readonly number: number;
  /** Blocks that it saves, by pool; below 0: it takes more. Pools that stay the same are left out. */
  readonly saved: Readonly<Record<string, number>>;
  /** Blocks that it saves, weighed as the design weighs them. */
  readonly savedWeight: number;
  /** Logic units more than before, `extraLuts` included. */
  readonly moreLuts: number;
  readonly moreRegisters: number;
  /** Bits of capacity more than before, over all memories of the design. */
  readonly moreBits: number;
  readonly after: Figures;
}

/** A change that could not be packed, or not within the budgets that the design keeps as it stands. */
export interface FailedChange {
  readonly title: string;
  readonly edits: readonly DesignEdit[];
  readonly reason: string;
}

/** What could be changed in a design. The JSON form of `reshape --json`. */
export interface Reshaped {
  readonly format: "ramtailor-reshape/1";
  readonly design: string;
  readonly device: string;
  /** Effects that were allowed beside `same`. */
  readonly allow: readonly Effect[];
  /** The design as it stands. */
  readonly before: Figures;
  /** Most blocks saved first, then least logic, then most capacity gained. */
  readonly rows: readonly ReshapeRow[];
  readonly failed: readonly FailedChange[];
  /** null: not asked for. */
  readonly best: Sequence | null;
}

/** Thrown where a path to keep names nothing in the design. */
export class UnknownPathError extends Error {
  constructor(message: string) {
    super(message);
    this.name = "UnknownPathError";
  }
}

/** Most changes that the best combination is searched in: those that take least by themselves. */
const COMBINED = 60;

function checkKept(text: string, paths: readonly string[]): void {
  for (const path of paths) {
    const found = editDesign(text, [{ path, value: null }]);
    if (!found.ok) throw new UnknownPathError(found.problem);
  }
}

/** What a change really does: a capacity that is not the same is no `same`. */
function effectOf({ effect }: Change, before: Figures, after: Figures): Effect {
  return effect === "same" && before.capacityBits !== after.capacityBits ? "size" : effect;
}

function difference(before: Figures, after: Figures): Record<string, number> {
  const pools = Object.keys({ ...before.blocks, ...after.blocks });
  const saved = pools.map((pool) => [pool, (before.blocks[pool] ?? 0) - (after.blocks[pool] ?? 0)] as const);
  return Object.fromEntries(saved.filter(([, blocks]) => blocks !== 0));
}

type Unnumbered = Omit<ReshapeRow, "number">;

function rowOf(change: Change, before: Figures, after: Figures): Unnumbered {
  return {
    ...change,
    effect: effectOf(change, before, after),
    saved: difference(before, after),
    savedWeight: before.weightedBlocks - after.weightedBlocks,
    moreLuts: after.luts + change.extraLuts - before.luts,
    moreRegisters: after.registers - before.registers,
    moreBits: after.capacityBits - before.capacityBits,
    after,
  };
}

/** Growth that costs nothing; otherwise fewer blocks, or, for a move between pools, fewer of one. */
function worth(row: Unnumbered, before: Figures): boolean {
  if (row.kind === "grow") return takesNoMore(row.after, before);
  if (savesBlocks(row.after, before)) return true;
  return row.kind === "pool" && Object.values(row.saved).some((blocks) => blocks > 0);
}

function inOrder(a: Unnumbered, b: Unnumbered): number {
  const [first, second] = [a, b].map(({ after, extraLuts }) => ({ figures: after, extraLuts })) as [
    { figures: Figures; extraLuts: number },
    { figures: Figures; extraLuts: number },
  ];
  return compare(first, second) || b.moreBits - a.moreBits;
}

const EFFECTS: readonly Effect[] = ["same", "size", "behaviour"];

/** Each row of these kinds is about a number of its own, even where two come to the same. */
const DISTINCT: readonly ChangeKind[] = ["grow", "trim"];

/** True where a row says no more than another of its entry: the same figures, with no less to edit, need or confirm. */
function repeats(row: Unnumbered, other: Unnumbered): boolean {
  if (DISTINCT.includes(row.kind) || row.subject !== other.subject) return false;
  const result = ({ after, extraLuts }: Unnumbered) => JSON.stringify([after, extraLuts]);
  const price = ({ effect, edits, needs }: Unnumbered) => [
    EFFECTS.indexOf(effect),
    needs.length,
    edits.length,
  ];
  const [mine, its] = [price(row), price(other)];
  const confirmed = other.confirm === null || other.confirm === row.confirm;
  return confirmed && result(row) === result(other) && its.every((cost, i) => cost <= mine[i]!);
}

/** Of rows that say the same, the first. */
function distinct(rows: readonly Unnumbered[]): Unnumbered[] {
  return rows.filter((row, i) => {
    const said = (other: Unnumbered, j: number) =>
      j !== i && repeats(row, other) && (j < i || !repeats(other, row));
    return !rows.some(said);
  });
}

function failureOf(trial: Trial, before: Figures): string | null {
  if (trial.status === "homeless") return trial.reason;
  if (trial.status === "no-design") return null;
  if (trial.figures.status !== "over-budget" || before.status === "over-budget") return null;
  const over = Object.entries(trial.figures.over).map(([pool, blocks]) => `${blocks} ${pool} too many`);
  return `over budget: ${over.length > 0 ? over.join(", ") : "too much logic"}`;
}

/**
 * Looks for changes of a design that save blocks, or give capacity for nothing. Each is made in the design file, read
 * again, and the whole design packed again: every figure of a row is the difference of two packings.
 *
 * Throws {@link UnknownPathError} for a path to keep that names nothing, NothingLegalError where a memory of the design
 * as it stands has no home, and what {@link pack} throws otherwise; rejects with the signal's reason soon after it fires.
 */
export async function reshape(
  read: DesignRead,
  device: Device,
  options: ReshapeOptions = {},
): Promise<Reshaped> {
  const { allow = [], keep = [], best = null, onProgress, ...packing } = options;
  checkKept(read.source.text, keep);
  const packer = packerOf(read.source, device, packing);
  const first = await packer([]);
  if (first.status === "homeless") await pack(read.design, device, packing);
  if (first.status !== "packed")
    throw new RangeError(`design ${read.design.name} cannot be used on ${device.name}`);
  const before = first.figures;
  const keeps = (edits: readonly DesignEdit[]) =>
    touched({ edits }).every((path) => keep.every((kept) => !overlaps(path, kept)));
  const effects = new Set<Effect>(["same", ...allow]);
  const subject: Subject = {
    file: read.file,
    design: read.design,
    device,
    plan: first.plan,
    figures: before,
    entries: entriesOf(read, first.plan),
    packer,
    open: (effect, edits) => effects.has(effect) && keeps(edits),
  };
  const rows: Unnumbered[] = [];
  const failed: FailedChange[] = [];
  const combined: Unnumbered[] = [];
  const total = CHANGE_KINDS.length + (best === null ? 0 : 1);
  for (const [done, kind] of CHANGE_KINDS.entries()) {
    onProgress?.({ done, total });
    packing.signal?.throwIfAborted();
    // Growth is looked for whatever is allowed: it takes nothing away.
    const open: Subject["open"] = kind === "grow" ? (_, edits) => keeps(edits) : subject.open;
    for (const change of await PROPOSERS[kind]({ ...subject, open })) {
      if (!open(change.effect, change.edits)) continue;
      const trial = await packer(change.edits);
      const reason = failureOf(trial, before);
      if (reason !== null) failed.push({ title: change.title, edits: change.edits, reason });
      if (reason !== null || trial.status !== "packed") continue;
      const row = rowOf(change, before, trial.figures);
      if (!open(row.effect, row.edits)) continue;
      if (worth(row, before)) rows.push(row);
      if (kind !== "grow") combined.push(row);
    }
  }
  onProgress?.({ done: CHANGE_KINDS.length, total });
  const changes = distinct(combined).sort(inOrder).slice(0, COMBINED);
  const sequence = best === null ? null : await bestSequence(packer, before, changes, best);
  if (sequence !== null) onProgress?.({ done: total, total });
  return {
    format: "ramtailor-reshape/1",
    design: read.design.name,
    device: device.name,
    allow,
    before,
    rows: distinct(rows)
      .sort(inOrder)
      .map((row, i) => ({ number: i + 1, ...row })),
    failed,
    best: sequence,
  };
}
