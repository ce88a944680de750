import { createHash } from "node:crypto";
import type {
  DesignEdit,
  DesignFile,
  DesignRead,
  MemoryEntry,
  StructureParameters,
} from "../../input/index.js";
import type { Design, Device, MemoryRequest, Plan } from "../../model/index.js";
import type { BranchTargetBufferParameters } from "../../structures/branch-target-buffer.js";
import type { CacheParameters } from "../../structures/cache.js";
import type { DirectionPredictorParameters } from "../../structures/direction-predictor.js";
import type { FifoParameters } from "../../structures/fifo.js";
import type { LineBufferParameters } from "../../structures/line-buffer.js";
import type { RegisterFileParameters } from "../../structures/register-file.js";
import type { ReturnStackParameters } from "../../structures/return-stack.js";
import type { RomParameters } from "../../structures/rom.js";
import type { ScratchpadParameters } from "../../structures/scratchpad.js";
import type { TlbParameters } from "../../structures/tlb.js";
import type { Change, Effect } from "./change.js";
import type { Figures, Packer } from "./trial.js";

/** The parameters of a structure, told apart by `kind`. */
export type Structure =
  | BranchTargetBufferParameters
  | CacheParameters
  | DirectionPredictorParameters
  | FifoParameters
  | LineBufferParameters
  | RegisterFileParameters
  | ReturnStackParameters
  | RomParameters
  | ScratchpadParameters
  | TlbParameters;

/** An entry of the design file, with the memories that it asks for. */
export type Entry = {
  readonly name: string;
  readonly requests: readonly MemoryRequest[];
  /** Weighed blocks that its memories hold in the plan, roughly: shared blocks in proportion. */
  readonly blocks: number;
} & (
  | { readonly list: "memories"; readonly memory: MemoryEntry }
  | { readonly list: "structures"; readonly structure: Structure }
);

/** What changes are proposed for: a design, the device, and the plan of the design as it stands. */
export interface Subject {
  readonly file: DesignFile;
  readonly design: Design;
  readonly device: Device;
  readonly plan: Plan;
  readonly figures: Figures;
  /** In the order of the file, memories first. */
  readonly entries: readonly Entry[];
  readonly packer: Packer;
  /** Whether a change of this effect at these places may be proposed; search for no others. */
  readonly open: (effect: Effect, edits: readonly DesignEdit[]) => boolean;
}

/** Proposes changes of one kind. It may pack to find out how far a change can go. */
export type Proposer = (subject: Subject) => Promise<readonly Change[]> | readonly Change[];

/** The entries of a design with what they hold in its plan. */
export function entriesOf({ file, design }: DesignRead, plan: Plan): Entry[] {
  const blocksOf = (requests: readonly MemoryRequest[]) => {
    const names = new Set(requests.map(({ name }) => name));
    const memories = plan.memories.filter(({ name }) => names.has(name));
    return memories.flatMap(({ blocks }) => Object.values(blocks)).reduce((sum, count) => sum + count, 0);
  };
  const memories = file.memories.map((memory): Entry => {
    const requests = design.requests.filter(
      ({ name, structure }) => structure === null && name === memory.name,
    );
    return { name: memory.name, requests, blocks: blocksOf(requests), list: "memories", memory };
  });
  const structures = file.structures.map((parameters: StructureParameters): Entry => {
    const requests = design.requests.filter(({ structure }) => structure === parameters.name);
    const structure = parameters as Structure;
    return { name: parameters.name, requests, blocks: blocksOf(requests), list: "structures", structure };
  });
  return [...memories, ...structures];
}

/** Most characters of a name before it is shortened, so that an ending fits behind. */
const STEM = 56;

/** A name that no entry and no group of the design has: `word`, with a number where it has to. */
export function freshName(subject: Subject, word: string): string {
  const taken = new Set<string>(subject.entries.map(({ name }) => name));
  for (const { lockstep, exclusive } of subject.design.requests) {
    for (const membership of [lockstep, exclusive]) if (membership !== null) taken.add(membership.group);
  }
  // Names that begin alike stay apart when they are shortened.
  const digest = createHash("sha256").update(word).digest("hex").slice(0, 8);
  const stem = word.length <= STEM ? word : `${word.slice(0, STEM - 9)}_${digest}`;
  let name = stem;
  for (let n = 2; taken.has(name); n += 1) name = `${stem}_${n}`;
  return name;
}
