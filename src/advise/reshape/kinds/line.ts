import { sizeName } from "../../../model/index.js";
import { type Change, change } from "../change.js";
import type { Subject } from "../subject.js";

/** Line sizes that are proposed, in bits: 16 to 256 bytes. */
const LINES = [16, 32, 64, 128, 256].map((bytes) => bytes * 8);

/** Other line sizes of caches at the same capacity. A refill moves as many bits at once as before. */
export function line({ entries }: Subject): readonly Change[] {
  return entries.flatMap((entry) => {
    if (entry.list === "memories" || entry.structure.kind !== "cache") return [];
    const { name, line: now, access, refill = access } = entry.structure;
    return LINES.filter((bits) => bits !== now && bits >= refill).map((bits) =>
      change({
        kind: "line",
        subject: name,
        title: `${name}: lines of ${sizeName(bits)} instead of ${sizeName(now)}`,
        edits: [{ path: `${name}.line`, value: sizeName(bits) }],
        effect: "behaviour",
      }),
    );
  });
}
