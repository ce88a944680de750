import type { Arrangement, BlockKind, BlockShape, Device, LutMemory } from "../model/index.js";
import { checkDeviceFile } from "./device-rules.js";
import { type DeviceFile, type DeviceFileBlock, deviceFileSchema } from "./device-schema.js";
import type { Diagnostic, Source } from "./diagnostics.js";
import { readYaml } from "./read-yaml.js";

/** The parts of a device file, in the order of the file, or all that is wrong with it. */
export type ReadDevices =
  | { readonly ok: true; readonly devices: readonly Device[] }
  | { readonly ok: false; readonly diagnostics: readonly Diagnostic[] };

/** Shapes of one arrangement, deepest first, with the write lanes of their widths. */
function shapesOf(block: DeviceFileBlock, arrangement: Arrangement): BlockShape[] {
  return block.shapes
    .filter((group) => group.arrangements.includes(arrangement))
    .flatMap(({ shapes, family }) =>
      shapes.map((shape) => ({
        ...shape,
        family,
        lanes: block.lanes.filter((entry) => entry.widths.includes(shape.width)).flatMap((e) => e.lanes),
      })),
    )
    .sort((a, b) => b.depth - a.depth || a.width - b.width);
}

function blockKind(block: DeviceFileBlock): BlockKind {
  return {
    name: block.name,
    bits: block.bits.value,
    shapes: {
      single: shapesOf(block, "single"),
      "simple-dual": shapesOf(block, "simple-dual"),
      "true-dual": shapesOf(block, "true-dual"),
    },
    mixedWidths: {
      "simple-dual": block.mixed_widths["simple-dual"],
      "true-dual": block.mixed_widths["true-dual"],
    },
    fixedSideWidths: block.fixed_side?.widths ?? [],
    asynchronousRead: block.asynchronous_read?.value ?? false,
    initialContents: block.initial_contents?.value ?? false,
    clocks: block.clocks?.value ?? 1,
    outputRegister: block.output_register?.value ?? "none",
    readDuringWrite: {
      samePort: block.read_during_write?.same_port ?? ["undefined"],
      otherPort: block.read_during_write?.other_port ?? ["undefined"],
    },
    maxClockMHz: block.max_clock_mhz?.value ?? null,
    pool: block.pool,
    units: block.units?.value ?? 1,
    freeCascade: block.free_cascade.map(({ shape, blocks }) => ({ shape, blocks })),
  };
}

function lutMemory(file: DeviceFile, count: number | null): LutMemory | null {
  if (file.lut_memory === undefined) return null;
  const shapes = file.lut_memory.shapes.flatMap((group) =>
    group.arrangements.flatMap((arrangement) =>
      group.shapes.map((shape) => ({ ...shape, arrangement, luts: group.luts })),
    ),
  );
  return { name: file.lut_memory.name, shapes, count };
}

function devicesOf(file: DeviceFile): Device[] {
  const blocks = file.blocks.map(blockKind);
  return file.parts.map((part) => ({
    name: part.name,
    family: file.family,
    part: part.number ?? part.name,
    blocks,
    pools: file.pools.map(({ name, units }) => ({
      name,
      blocks: part.blocks.find((entry) => entry.pool === name)?.count ?? 0,
      unitsPerBlock: units,
    })),
    lutMemory: lutMemory(file, part.lut_memory?.value ?? null),
    logic: {
      unit: file.logic.unit,
      inputs: file.logic.inputs.value,
      count: part.logic.value,
      multiplexers: file.logic.multiplexers.map(({ inputs, luts, levels }) => ({ inputs, luts, levels })),
    },
  }));
}

/**
 * Reads a device file: one family, a device for each of its parts. Problems of the text are gathered, those of the
 * form first; figures are checked against each other once the form is right. Never throws for what is in the text.
 */
export function readDevices(source: Source): ReadDevices {
  const read = readYaml(source, deviceFileSchema());
  if (!read.ok) return read;
  const diagnostics: Diagnostic[] = [];
  checkDeviceFile(read.value, (code, message, path) => {
    diagnostics.push({ code, severity: "error", message, range: read.rangeOf(path), file: source.file });
  });
  if (diagnostics.length > 0) return { ok: false, diagnostics };
  return { ok: true, devices: devicesOf(read.value) };
}
