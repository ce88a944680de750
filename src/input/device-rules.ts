import { type Arrangement, type Shape, shapeBits, shapeName } from "../model/index.js";
import type { DeviceFile, DeviceFileBlock } from "./device-schema.js";
import type { DiagnosticCode } from "./diagnostics.js";
import { suggestion } from "./nearest.js";

/** Where a problem is: keys and list positions from the root of the file. */
export type Path = readonly (string | number)[];
type Report = (code: DiagnosticCode, message: string, path: Path) => void;

const ARRANGEMENTS: readonly Arrangement[] = ["single", "simple-dual", "true-dual"];

/** A shape with the place where it is listed. */
interface Listed {
  readonly shape: Shape;
  readonly family: string;
  readonly path: Path;
}

function listed(block: DeviceFileBlock, at: Path, arrangement: Arrangement): Listed[] {
  return block.shapes.flatMap((group, g) => {
    if (!group.arrangements.includes(arrangement)) return [];
    return group.shapes.map((shape, s) => ({
      shape,
      family: group.family,
      path: [...at, "shapes", g, "shapes", s],
    }));
  });
}

function uniqueNames(what: string, key: string, items: readonly { readonly name: string }[], report: Report) {
  const seen = new Set<string>();
  items.forEach((item, i) => {
    if (seen.has(item.name)) {
      report("duplicate-name", `two ${what} have the name ${item.name}`, [key, i, "name"]);
    }
    seen.add(item.name);
  });
}

/** Each shape once in an arrangement, and within a family every width a multiple of the narrower ones. */
function checkArrangement(shapes: readonly Listed[], arrangement: Arrangement, report: Report) {
  shapes.forEach((one, i) => {
    for (const other of shapes.slice(0, i)) {
      if (shapeName(one.shape) === shapeName(other.shape)) {
        report("device-rule", `${shapeName(one.shape)} is listed twice as ${arrangement}`, one.path);
        return;
      }
      const [narrow, wide] = [one.shape.width, other.shape.width].sort((a, b) => a - b) as [number, number];
      if (one.family === other.family && wide % narrow !== 0) {
        const message = `widths of family ${one.family} must be multiples of each other, found ${narrow} and ${wide}`;
        report("device-rule", message, one.path);
        return;
      }
    }
  });
}

function checkMixedWidths(block: DeviceFileBlock, at: Path, report: Report) {
  for (const arrangement of ["simple-dual", "true-dual"] as const) {
    if (!block.mixed_widths[arrangement]) continue;
    const families = listed(block, at, arrangement).map((l) => l.family);
    if (new Set(families).size === families.length) {
      const message = `mixed widths need two ${arrangement} shapes of one family in ${block.name}, found none`;
      report("device-rule", message, [...at, "mixed_widths", arrangement]);
    }
  }
}

/** What a true-dual block does at a width it can do as simple-dual: one port only writes, the other only reads. */
function checkTrueDualWidths(block: DeviceFileBlock, at: Path, report: Report) {
  const widths = listed(block, at, "simple-dual").map((l) => l.shape.width);
  if (widths.length === 0) return;
  const widest = Math.max(...widths);
  for (const { shape, path } of listed(block, at, "true-dual")) {
    if (shape.width <= widest) continue;
    const message = `true-dual ${shapeName(shape)} is wider than the widest simple-dual shape (${widest} bits)`;
    report("device-rule", message, path);
  }
}

function checkLanes(block: DeviceFileBlock, at: Path, report: Report) {
  const widths = new Set(block.shapes.flatMap((group) => group.shapes.map((shape) => shape.width)));
  const seen = new Set<number>();
  block.lanes.forEach((entry, e) => {
    entry.widths.forEach((width, w) => {
      const path = [...at, "lanes", e, "widths", w];
      if (!widths.has(width)) report("device-rule", `${block.name} has no shape ${width} bits wide`, path);
      else if (seen.has(width)) report("device-rule", `lanes of width ${width} are listed twice`, path);
      seen.add(width);
    });
    entry.lanes.forEach((lane, l) => {
      const bad = entry.widths.find((width) => width % lane !== 0 || width === lane);
      if (bad === undefined) return;
      const message = `a lane must be narrower than the word and divide it, found ${lane} of ${bad} bits`;
      report("device-rule", message, [...at, "lanes", e, "lanes", l]);
    });
  });
}

function checkBlock(block: DeviceFileBlock, at: Path, report: Report) {
  block.shapes.forEach((group, g) => {
    group.shapes.forEach((shape, s) => {
      if (shapeBits(shape) <= block.bits.value) return;
      const held = `${shapeBits(shape)} bits, ${block.name} holds ${block.bits.value}`;
      report("device-rule", `${shapeName(shape)} has ${held}`, [...at, "shapes", g, "shapes", s]);
    });
  });
  for (const arrangement of ARRANGEMENTS) {
    checkArrangement(listed(block, at, arrangement), arrangement, report);
  }
  checkMixedWidths(block, at, report);
  checkTrueDualWidths(block, at, report);
  checkLanes(block, at, report);
  const simpleDual = listed(block, at, "simple-dual").map((l) => l.shape.width);
  block.fixed_side?.widths.forEach((width, w) => {
    if (simpleDual.includes(width)) return;
    const message = `${block.name} has no simple-dual shape ${width} bits wide`;
    report("device-rule", message, [...at, "fixed_side", "widths", w]);
  });
  block.free_cascade.forEach(({ shape }, c) => {
    const known = block.shapes.some((g) => g.shapes.some((s) => shapeName(s) === shapeName(shape)));
    if (known) return;
    report("device-rule", `${block.name} has no shape ${shapeName(shape)}`, [
      ...at,
      "free_cascade",
      c,
      "shape",
    ]);
  });
}

/** Pools are declared, used and large enough for their kinds. */
function checkPools(file: DeviceFile, report: Report) {
  file.pools.forEach((pool, p) => {
    if (["lut", "registers"].includes(pool.name.toLowerCase())) {
      report("device-rule", `a pool cannot have the name ${pool.name}, it stands for logic`, [
        "pools",
        p,
        "name",
      ]);
    }
    if (!file.blocks.some((block) => block.pool === pool.name)) {
      report("device-rule", `no block kind takes from pool ${pool.name}`, ["pools", p, "name"]);
    }
  });
  const names = file.pools.map((pool) => pool.name);
  file.blocks.forEach((block, b) => {
    const pool = file.pools.find((p) => p.name === block.pool);
    if (pool === undefined) {
      const message = `no pool has the name ${JSON.stringify(block.pool)}${suggestion(block.pool, names, "pools")}`;
      report("unknown-name", message, ["blocks", b, "pool"]);
    } else if (block.units !== undefined && block.units.value > pool.units) {
      const message = `${block.name} takes ${block.units.value} units, a block of pool ${pool.name} has ${pool.units}`;
      report("device-rule", message, ["blocks", b, "units"]);
    }
  });
}

function checkLogic(file: DeviceFile, report: Report) {
  file.logic.multiplexers.forEach(({ inputs }, m, all) => {
    const before = all[m - 1];
    if (before === undefined || before.inputs < inputs) return;
    const message = `multiplexers must stand in ascending order of inputs, found ${inputs} after ${before.inputs}`;
    report("device-rule", message, ["logic", "multiplexers", m, "inputs"]);
  });
  const seen = new Set<string>();
  file.lut_memory?.shapes.forEach((group, g) => {
    group.shapes.forEach((shape, s) => {
      for (const arrangement of group.arrangements) {
        const key = `${shapeName(shape)} is listed twice as ${arrangement}`;
        if (seen.has(key)) report("device-rule", key, ["lut_memory", "shapes", g, "shapes", s]);
        seen.add(key);
      }
    });
  });
}

/** Every part counts every pool once. */
function checkPart(file: DeviceFile, part: DeviceFile["parts"][number], at: Path, report: Report) {
  const names = file.pools.map((pool) => pool.name);
  const counted = new Set<string>();
  part.blocks.forEach(({ pool }, b) => {
    const path = [...at, "blocks", b, "pool"];
    if (!names.includes(pool)) {
      const message = `no pool has the name ${JSON.stringify(pool)}${suggestion(pool, names, "pools")}`;
      report("unknown-name", message, path);
    } else if (counted.has(pool)) {
      report("device-rule", `${part.name} counts pool ${pool} twice`, path);
    }
    counted.add(pool);
  });
  for (const name of new Set(names)) {
    if (!counted.has(name))
      report("device-rule", `${part.name} does not count pool ${name}`, [...at, "blocks"]);
  }
  if (part.lut_memory === undefined) return;
  if (file.lut_memory === undefined) {
    report("device-rule", "the family has no LUT memory", [...at, "lut_memory"]);
  } else if (part.lut_memory.value > part.logic.value) {
    const message = `${part.lut_memory.value} of ${part.logic.value} logic units cannot be memory`;
    report("device-rule", message, [...at, "lut_memory"]);
  }
}

/** Every `source` names an entry of `sources`. */
function checkSources(file: DeviceFile, report: Report) {
  const known = Object.keys(file.sources);
  const walk = (node: unknown, path: Path) => {
    if (typeof node !== "object" || node === null) return;
    for (const [key, value] of Object.entries(node)) {
      const step = Array.isArray(node) ? Number(key) : key;
      if (key !== "source" || value === undefined) {
        walk(value, [...path, step]);
        continue;
      }
      const keys: readonly string[] = Array.isArray(value) ? value : [value];
      keys.forEach((name, i) => {
        if (known.includes(name)) return;
        const message = `no source has the key ${JSON.stringify(name)}${suggestion(name, known, "sources")}`;
        report("unknown-name", message, [...path, "source", ...(Array.isArray(value) ? [i] : [])]);
      });
    }
  };
  const { sources: _, ...entries } = file;
  walk(entries, []);
}

/** Checks the figures of a device file against each other. */
export function checkDeviceFile(file: DeviceFile, report: Report): void {
  uniqueNames("pools", "pools", file.pools, report);
  uniqueNames("block kinds", "blocks", file.blocks, report);
  uniqueNames("parts", "parts", file.parts, report);
  checkPools(file, report);
  file.blocks.forEach((block, b) => {
    checkBlock(block, ["blocks", b], report);
  });
  checkLogic(file, report);
  file.parts.forEach((part, p) => {
    checkPart(file, part, ["parts", p], report);
  });
  checkSources(file, report);
}
