import type { Device, MemoryRequest } from "../model/index.js";
import { writers } from "../model/index.js";
import { periodOf } from "./column-ends.js";
import { SlabCovers } from "./slab-covers.js";
import {
  type CopyUse,
  type OptionSettings,
  type PumpedUse,
  type TileOption,
  tileOptions,
} from "./tile-option.js";
import type { Word } from "./word.js";

/** What tilings of the memories of one design have in common: the options, and how slabs are covered with them. */
export class TilingTables {
  private readonly options = new Map<string, readonly TileOption[]>();
  /** By list of options; those of a list that is made for one memory go with it. */
  private readonly covers = new WeakMap<readonly TileOption[], Map<number, SlabCovers>>();

  constructor(private readonly device: Device) {}

  /** `tileOptions`, the same list for requests between which it sees no difference. */
  optionsOf(
    pool: string,
    request: MemoryRequest,
    use: CopyUse | PumpedUse,
    settings: OptionSettings,
  ): readonly TileOption[] {
    const { read, clocks, wordsPerAccess, lane, initialContents, ports } = request;
    const key = [
      pool,
      typeof use === "string" ? use : `${use.pump} ${use.arrangement} ${use.turns}`,
      read,
      clocks,
      wordsPerAccess.read,
      wordsPerAccess.write,
      lane !== null,
      initialContents || writers(ports) === 0,
      settings.lanesNeeded,
      settings.mixedPorts,
      settings.clockMHz,
    ].join("/");
    let known = this.options.get(key);
    if (known === undefined) {
      known = tileOptions(this.device, pool, request, use, settings);
      this.options.set(key, known);
    }
    return known;
  }

  /** Covers of slabs of a word with the tiles of a list of options. */
  coversOf(options: readonly TileOption[], word: Word): SlabCovers {
    const period = word.stretches <= 1 ? 0 : periodOf(word);
    let ofOptions = this.covers.get(options);
    if (ofOptions === undefined) {
      ofOptions = new Map();
      this.covers.set(options, ofOptions);
    }
    // Only a word that is cut alike everywhere says by its period how others of that are cut.
    const shared = period < word.width;
    const known = shared ? ofOptions.get(period) : undefined;
    const covers = known ?? new SlabCovers(options);
    if (shared) ofOptions.set(period, covers);
    covers.columns.reach(word);
    return covers;
  }
}
