import type { Device } from "../../../model/index.js";
import { figure } from "../../../model/words.js";
import { type Change, change } from "../change.js";
import type { Entry, Subject } from "../subject.js";

/** Most times that a design file lets blocks be clocked faster. */
const MOST = 4;

/** The fastest multiple of the clock that some block of the device reaches; 1 where none reaches two. */
function fastest(device: Device, clockMHz: number): number {
  const clocks = device.blocks.flatMap(({ maxClockMHz }) => (maxClockMHz === null ? [] : [maxClockMHz]));
  return Math.min(MOST, Math.floor(Math.max(0, ...clocks) / clockMHz));
}

function isStill({ requests }: Entry): boolean {
  return requests.every(
    ({ lockstep, exclusive, read, clocks }) =>
      lockstep !== null || exclusive !== null || read === "async" || clocks === 2,
  );
}

/**
 * Blocks clocked faster than the design, which offer that many times their ports. Only where the design states its
 * clock and a block's fastest clock, which the device file has to state, is at least twice that.
 */
export function pump({ entries, design, device }: Subject): readonly Change[] {
  const { clockMHz } = design;
  if (clockMHz === null) return [];
  const most = fastest(device, clockMHz);
  return entries.flatMap((entry) => {
    if (entry.blocks === 0 || isStill(entry)) return [];
    const pinned = (entry.list === "memories" ? entry.memory : entry.structure).realisation;
    const now = (entry.list === "memories" ? entry.memory : entry.structure).pump ?? 1;
    const { name } = entry;
    return [2, 3, 4]
      .filter((times) => times <= most && times > now)
      .map((times): Change => {
        const free =
          pinned === undefined || pinned === "pumped" ? [] : [{ path: `${name}.realisation`, value: null }];
        return change({
          kind: "pump",
          subject: name,
          title: `${name}: blocks clocked up to ${times} times faster than the design`,
          edits: [{ path: `${name}.pump`, value: times }, ...free],
          needs: [`blocks and their logic at up to ${figure(times * clockMHz, 3)} MHz`],
        });
      });
  });
}
