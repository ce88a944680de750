import { type Design, type Device, type MemoryRequest, multiplexer, readers } from "../model/index.js";
import { type Candidate, paretoCandidates, type TiledCopies } from "./candidate.js";
import type { Fragment } from "./fragment.js";
import { type LogicUse, lutMemoryUse, portLogic, pumpLogic, registerArray } from "./logic-cost.js";
import { type BlockRealisation, blockRealisations, pumpedRealisations } from "./realisation.js";
import { type Tiling, tilings } from "./tiling.js";
import type { TilingTables } from "./tiling-tables.js";
import { type Part, type Word, wordOf } from "./word.js";

/** What every step of candidate making needs to know of its surroundings. */
export interface Setting {
  readonly device: Device;
  readonly design: Pick<Design, "clockMHz" | "small">;
  readonly tables: TilingTables;
}

/** Whether a request's own `in` list lets it live there. */
export function allows(request: MemoryRequest, home: string): boolean {
  return request.homes === null || request.homes.includes(home);
}

/** What is stored at one address. */
interface Storage {
  readonly wordsInStored: number;
  readonly mixedPorts: boolean;
  readonly word: Word;
}

/** How the unequal sides of memories can be stored; one entry for memories with equal sides. */
function storages(parts: readonly Part[]): Storage[] {
  const { wordsPerAccess } = parts[0]!.request;
  const ratio = Math.max(wordsPerAccess.read, wordsPerAccess.write);
  const one = { wordsInStored: 1, mixedPorts: ratio > 1, word: wordOf(parts, 1) };
  if (ratio === 1) return [one];
  return [one, { wordsInStored: ratio, mixedPorts: false, word: wordOf(parts, ratio) }];
}

/** LUTs that pick a narrow read word out of a stored wide one. */
function narrowRead(setting: Setting, request: MemoryRequest, wordsInStored: number): number {
  if (wordsInStored === 1 || request.wordsPerAccess.read > 1) return 0;
  return request.width * multiplexer(setting.device.logic, wordsInStored).luts;
}

/** One tiling of each list, in all ways. */
function combine(lists: readonly (readonly Tiling[])[]): readonly (readonly Tiling[])[] {
  const [first = [], ...others] = lists;
  return others.reduce<readonly (readonly Tiling[])[]>(
    (all, list) => all.flatMap((head) => list.map((tiling) => [...head, tiling])),
    first.map((tiling) => [tiling]),
  );
}

/** The first member with whatever any member needs of its block; in ports, clocks and read style all agree. */
function strictest(parts: readonly Part[]): MemoryRequest {
  return {
    ...parts[0]!.request,
    initialContents: parts.some(({ request }) => request.initialContents),
    lane: parts.find(({ request }) => request.lane !== null)?.request.lane ?? null,
  };
}

function tiledCandidates(
  setting: Setting,
  pool: string,
  parts: readonly Part[],
  realisation: BlockRealisation,
  storage: Storage,
): Candidate[] {
  const request = strictest(parts);
  const { word } = storage;
  const limits = parts.map((part) => part.request.maxCascade ?? Number.POSITIVE_INFINITY);
  const limit = Math.min(...limits);
  const perGroup = realisation.groups.map((group) =>
    tilings({
      word,
      depth: request.depth / storage.wordsInStored,
      options: setting.tables.optionsOf(pool, request, group.use, {
        lanesNeeded: word.stretches > 1 || (storage.mixedPorts && request.lane !== null),
        mixedPorts: storage.mixedPorts,
        clockMHz: setting.design.clockMHz,
      }),
      logic: setting.device.logic,
      readPorts: group.readPorts,
      maxCascade: Number.isFinite(limit) ? limit : null,
      tables: setting.tables,
    }),
  );
  const { logic } = setting.device;
  const copies = realisation.groups.reduce((sum, group) => sum + group.copies, 0);
  const ports =
    realisation.pump === 1
      ? portLogic(logic, request, realisation.realisation)
      : pumpLogic(logic, request, realisation.pump, copies, 2);
  const members = parts.reduce((sum, part) => sum + part.members, 0);
  const extra =
    parts.reduce(
      (sum, part) => sum + part.members * narrowRead(setting, part.request, storage.wordsInStored),
      0,
    ) +
    ports.luts * members;
  return combine(perGroup).map((chosen) => {
    const tiled: TiledCopies[] = [];
    const fragments: Fragment[] = [];
    let firstCopy = 0;
    let units = 0;
    let luts = extra;
    let cascade = 0;
    for (let index = 0; index < chosen.length; index++) {
      const tiling = chosen[index]!;
      const { copies } = realisation.groups[index]!;
      tiled.push({ firstCopy, copies, tiling, word });
      firstCopy += copies;
      units += copies * tiling.units;
      luts += copies * tiling.luts;
      cascade = Math.max(cascade, tiling.cascade);
      for (let copy = 0; copy < copies; copy++) fragments.push(...tiling.fragments);
    }
    return {
      realisation: realisation.realisation,
      home: pool,
      copies: firstCopy,
      pump: realisation.pump,
      wordsInStored: storage.wordsInStored,
      tiled,
      stacked: [],
      units,
      fragments: firstCopy > 1 ? fragments.sort((a, b) => b.extent - a.extent) : fragments,
      luts,
      lutMemory: 0,
      registers: ports.registers * members,
      cascade,
    };
  });
}

/** Realisations of a memory alone or of members side by side; only a memory alone is pumped. */
function realisationsOf(parts: readonly Part[]): BlockRealisation[] {
  const { ports, pump } = parts[0]!.request;
  const found = blockRealisations(ports);
  const alone = parts.length === 1 && parts[0]!.members === 1;
  for (let times = 2; alone && times <= (pump ?? 1); times++) found.push(...pumpedRealisations(ports, times));
  return found;
}

/** Candidates in block RAM for the members of `parts` side by side, which must agree in depth, ports and clocks. */
export function blockCandidates(setting: Setting, parts: readonly Part[]): Candidate[] {
  const stored = storages(parts);
  const found: Candidate[] = [];
  for (const { name: pool } of setting.device.pools) {
    if (!parts.every((part) => allows(part.request, pool))) continue;
    for (const realisation of realisationsOf(parts)) {
      const pinned = parts.some(
        (part) => part.request.realisation !== null && part.request.realisation !== realisation.realisation,
      );
      if (pinned) continue;
      for (const storage of stored) {
        if (realisation.pump > 1 && storage.mixedPorts) continue;
        found.push(...tiledCandidates(setting, pool, parts, realisation, storage));
      }
    }
  }
  return paretoCandidates(found);
}

/** A candidate that takes no blocks. */
function outsideBlocks(
  realisation: "lut-memory" | "registers",
  home: string,
  copies: number,
  { luts, lutMemory, registers }: LogicUse,
): Candidate {
  return {
    realisation,
    home,
    copies,
    pump: 1,
    wordsInStored: 1,
    tiled: [],
    stacked: [],
    units: 0,
    fragments: [],
    luts,
    lutMemory,
    registers,
    cascade: 0,
  };
}

/**
 * Candidates outside block RAM. A memory goes to LUT memory when told to, when it is read asynchronously, or when it
 * is no deeper than `small.lutDepth` (by default the device's deepest primitive); to registers when told to, when it
 * is read asynchronously and the device has no LUT memory, or when it has at most `small.registerBits` bits.
 */
function logicCandidates(setting: Setting, request: MemoryRequest): Candidate[] {
  const { logic, lutMemory } = setting.device;
  const { small } = setting.design;
  const found: Candidate[] = [];
  const pin = request.realisation;
  const asked = (home: string) => request.homes?.includes(home) === true;
  const async = request.read === "async";
  if (lutMemory !== null && allows(request, "LUT") && (pin === null || pin === "lut-memory")) {
    const deepest = Math.max(...lutMemory.shapes.map((shape) => shape.depth));
    const offered = pin !== null || asked("LUT") || async || request.depth <= (small.lutDepth ?? deepest);
    const use = offered ? lutMemoryUse(logic, lutMemory, request) : null;
    if (use !== null) found.push(outsideBlocks("lut-memory", "LUT", readers(request.ports), use));
  }
  if (allows(request, "registers") && (pin === null || pin === "registers")) {
    const offered =
      pin !== null ||
      asked("registers") ||
      (async && lutMemory === null) ||
      (async && request.ports.write + request.ports.readWrite > 1) ||
      request.depth * request.width <= small.registerBits;
    if (offered) found.push(outsideBlocks("registers", "registers", 1, registerArray(logic, request)));
  }
  return found;
}

/** All candidates of one instance of a memory that stands alone, pruned. Empty: nothing legal. */
export function memoryCandidates(setting: Setting, request: MemoryRequest): Candidate[] {
  const inBlocks = blockCandidates(setting, [{ request, members: 1 }]);
  const inLogic = logicCandidates(setting, request);
  return inLogic.length === 0 ? inBlocks : paretoCandidates([...inBlocks, ...inLogic]);
}
