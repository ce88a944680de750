/**
 * The benchmark: `npm run bench -- [sections] [options]`, all sections by default. Prints tables, writes bench/*.json and
 * bench/*.svg, and exits 1 where a goal is missed.
 */
import { parseArgs } from "node:util";
import type { Section, SectionOptions } from "./section.js";
import { hand } from "./sections/hand.js";
import { page } from "./sections/page.js";
import { proof } from "./sections/proof.js";
import { reference } from "./sections/reference.js";
import { scale } from "./sections/scale.js";
import { scan } from "./sections/scan.js";
import { start } from "./sections/start.js";
import { sweep } from "./sections/sweep.js";

const SECTIONS: Readonly<Record<string, Section>> = {
  reference,
  proof,
  scale,
  hand,
  start,
  sweep,
  scan,
  page,
};

const USAGE = `sections: ${Object.keys(SECTIONS).join(" ")}
  --seeds 1-20   only these seeds (reference, proof, hand)
  --cap 60       seconds after which HiGHS alone is stopped (reference)
  --most 1000    largest number of distinct memories (scale)`;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    seeds: { type: "string" },
    cap: { type: "string", default: "60" },
    most: { type: "string", default: "1000" },
  },
});
const names = positionals.length > 0 ? positionals : Object.keys(SECTIONS);
const seeds = values.seeds === undefined ? null : /^(\d+)(?:-(\d+))?$/.exec(values.seeds);
const unknown = names.filter((name) => SECTIONS[name] === undefined);
if (unknown.length > 0 || (values.seeds !== undefined && seeds === null)) {
  console.error(USAGE);
  process.exit(2);
}
const options: SectionOptions = {
  seeds: seeds === null ? null : [Number(seeds[1]), Number(seeds[2] ?? seeds[1])],
  capMs: Number(values.cap) * 1000,
  most: Number(values.most),
};
const misses: string[] = [];
for (const name of names) misses.push(...(await SECTIONS[name]!(options)));
for (const miss of misses) console.log(`MISSED  ${miss}`);
if (misses.length === 0) console.log("\nall goals met");
process.exit(misses.length === 0 ? 0 : 1);
