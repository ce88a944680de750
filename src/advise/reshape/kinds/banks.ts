import { multiplexer, readers } from "../../../model/index.js";
import { counted } from "../../../model/words.js";
import { type Change, change } from "../change.js";
import type { Structure, Subject } from "../subject.js";

/** Numbers of banks that are proposed. */
const BANKS = [1, 2, 4, 8, 16];

/** Bits that are read at once over all ports, ways and instances; null for a structure that has no banks. */
function bitsRead(p: Structure): number | null {
  if (p.kind === "cache") return p.instances * p.ways * (p.access + p.error_bits);
  if (p.kind === "scratchpad") return p.instances * readers(p.ports) * (p.width + p.error_bits);
  return null;
}

/**
 * Other numbers of banks of caches and scratchpads. A column multiplexer picks the bank that is read; no plan counts
 * it, since it lies outside the memories. Fewer banks take fewer accesses a cycle, which the user has to confirm.
 */
export function banks({ entries, device }: Subject): readonly Change[] {
  return entries.flatMap((entry) => {
    if (entry.list === "memories") return [];
    const p = entry.structure;
    const bits = bitsRead(p);
    if (bits === null || (p.kind !== "cache" && p.kind !== "scratchpad")) return [];
    const before = multiplexer(device.logic, p.banks);
    return BANKS.filter((count) => count !== p.banks).map((count): Change => {
      const after = multiplexer(device.logic, count);
      const fewer = count < p.banks;
      return change({
        kind: "banks",
        subject: p.name,
        title: `${p.name}: ${counted(count, "bank")} instead of ${p.banks}`,
        edits: [{ path: `${p.name}.banks`, value: count }],
        effect: fewer ? "behaviour" : "same",
        needs: fewer ? [] : [`a column multiplexer of ${count} inputs, ${counted(after.levels, "level")}`],
        confirm: fewer
          ? `no more than ${counted(count, "bank")} of ${p.name} are accessed in one cycle`
          : null,
        extraLuts: bits * (after.luts - before.luts),
      });
    });
  });
}
