import { type Arrangement, type BlockKind, type Device, type Pool, shapeName } from "../model/index.js";
import { type Column, fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { paint } from "./paint.js";
import { counted, figure, listed, plain } from "./text.js";

/** Devices as a table, one a row: name, part, family, blocks by pool, logic, LUT memory. */
export function devicesTable(devices: readonly Device[], options: TextOptions = {}): string {
  const width = reportWidth(options);
  const columns: Column[] = [
    { head: "device", width: 16 },
    { head: "part", width: 16 },
    { head: "family", width: 22 },
    { head: "blocks", width: width - 90, wrap: true },
    { head: "logic", width: 13, align: "right" },
    { head: "LUT memory", width: 13, wrap: true },
  ];
  const rows = devices.map((device) => [
    plain(device.name),
    plain(device.part),
    plain(device.family),
    device.pools.map((pool) => `${figure(pool.blocks)} ${plain(pool.name)}`).join("\n"),
    `${figure(device.logic.count)} ${plain(device.logic.unit)}`,
    lutMemoryName(device),
  ]);
  return `${grid(fitted(columns, rows, width), rows, options.color ?? false)}\n`;
}

function lutMemoryName({ lutMemory }: Device): string {
  if (lutMemory === null) return "none";
  return plain(lutMemory.name);
}

/** One device in full: its pools, every block kind with shapes and lanes, LUT memory and multiplexers. */
export function deviceTable(device: Device, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong } = paint(color);
  const title = `${plain(device.name)}: ${plain(device.part)}, ${plain(device.family)}`;
  const budget = [
    ...device.pools.map((pool) => `${figure(pool.blocks)} ${plain(pool.name)}`),
    `${figure(device.logic.count)} ${plain(device.logic.unit)} of ${device.logic.inputs} inputs`,
  ];
  const parts = [
    [strong(prose(title, width)), prose(`On the part: ${listed(budget)}.`, width)].join("\n"),
    ...device.blocks.map((kind) => kindText(kind, device.pools, width, color)),
    lutMemoryText(device, width, color),
    multiplexerText(device, width, color),
  ];
  return `${parts.join("\n\n")}\n`;
}

const ARRANGEMENTS: readonly { readonly key: Arrangement; readonly name: string }[] = [
  { key: "single", name: "single port" },
  { key: "simple-dual", name: "simple dual port" },
  { key: "true-dual", name: "true dual port" },
];

function kindText(kind: BlockKind, pools: readonly Pool[], width: number, color: boolean): string {
  const { strong } = paint(color);
  const pool = pools.find(({ name }) => name === kind.pool);
  const part = pool !== undefined && kind.units !== pool.unitsPerBlock;
  const share = part ? `, ${kind.units} of ${pool.unitsPerBlock} parts of one block` : "";
  const mixed = (["simple-dual", "true-dual"] as const).filter((key) => kind.mixedWidths[key]);
  const facts = [
    `${figure(kind.bits)} bits; taken from pool ${plain(kind.pool)}${share}`,
    kind.asynchronousRead ? "asynchronous read" : "synchronous read",
    kind.clocks === 2 ? "a clock for each port" : "one clock for both ports",
    kind.initialContents ? "contents at start can be set" : "contents at start cannot be set",
    `output register ${kind.outputRegister}`,
    kind.maxClockMHz === null ? "fastest clock not stated" : `up to ${figure(kind.maxClockMHz, 1)} MHz`,
    mixed.length > 0 ? `ports may differ in width (${mixed.join(", ")})` : "ports have one width",
  ];
  if (kind.fixedSideWidths.length > 0) {
    facts.push(`width ${listed(kind.fixedSideWidths.map(String))}: one side has to stay at it`);
  }
  for (const { shape, blocks } of kind.freeCascade) {
    facts.push(`${blocks} blocks of ${shapeName(shape)} join in depth without logic`);
  }
  const { samePort, otherPort } = kind.readDuringWrite;
  if (samePort.length > 0) facts.push(`read during write on the same port: ${samePort.join(", ")}`);
  if (otherPort.length > 0) facts.push(`on the other port: ${otherPort.join(", ")}`);
  const columns: Column[] = [
    { head: "arrangement", width: 16 },
    { head: "shapes (words x bits); in brackets the write lanes in bits", width: width - 18, wrap: true },
  ];
  const rows = ARRANGEMENTS.map(({ key, name }) => [
    name,
    kind.shapes[key]
      .map((shape) => shapeName(shape) + (shape.lanes.length > 0 ? ` [${shape.lanes.join(",")}]` : ""))
      .join(", ") || "none",
  ]);
  return [
    strong(prose(`Block ${plain(kind.name)}`, width)),
    prose(`${facts.join("; ")}.`, width),
    grid(columns, rows, color),
  ].join("\n");
}

function lutMemoryText({ blocks, lutMemory, logic }: Device, width: number, color: boolean): string {
  const { strong } = paint(color);
  if (lutMemory === null) {
    const homes = [
      ...blocks.filter((kind) => kind.asynchronousRead).map((kind) => plain(kind.name)),
      "registers",
    ];
    return [
      strong("LUT memory"),
      prose(`None: an asynchronous read takes ${homes.join(" or ")}.`, width),
    ].join("\n");
  }
  const limit =
    lutMemory.count === null
      ? `any ${plain(logic.unit)} can be memory`
      : `${counted(lutMemory.count, "unit")} of ${plain(logic.unit)} can be memory`;
  const columns: Column[] = [
    { head: "words x bits", width: 16 },
    { head: "ports", width: 22 },
    { head: "cost", width: 20 },
  ];
  const rows = lutMemory.shapes.map((shape) => [
    shapeName(shape),
    shape.arrangement === "single" ? "1 read-write" : "1 read, 1 write",
    `${figure(shape.luts)} ${plain(logic.unit)}`,
  ]);
  return [
    strong(prose(`LUT memory ${plain(lutMemory.name)}`, width)),
    prose(`Asynchronous read, write on a clock; ${limit}.`, width),
    grid(fitted(columns, rows, width), rows, color),
  ].join("\n");
}

function multiplexerText({ logic }: Device, width: number, color: boolean): string {
  const { strong } = paint(color);
  const columns: Column[] = [
    { head: "inputs", width: 8, align: "right" },
    { head: "cost a bit", width: 20, align: "right" },
    { head: "levels", width: 8, align: "right" },
  ];
  const rows = logic.multiplexers.map((mux) => [
    figure(mux.inputs),
    `${figure(mux.luts, 2)} ${plain(logic.unit)}`,
    figure(mux.levels),
  ]);
  return [strong(prose("Read multiplexers", width)), grid(fitted(columns, rows, width), rows, color)].join(
    "\n",
  );
}

/** Devices as JSON text, format `ramtailor-devices/1`: what the table shows. */
export function devicesJson(devices: readonly Device[]): string {
  return jsonText({
    format: "ramtailor-devices/1",
    devices: devices.map((device) => ({
      name: device.name,
      part: device.part,
      family: device.family,
      pools: device.pools.map(poolFields),
      logic: { unit: device.logic.unit, inputs: device.logic.inputs, count: device.logic.count },
      lutMemory: device.lutMemory === null ? null : device.lutMemory.name,
    })),
  });
}

/** One device as JSON text, format `ramtailor-device/1`: the whole model of the part. */
export function deviceJson(device: Device): string {
  return jsonText({
    format: "ramtailor-device/1",
    name: device.name,
    part: device.part,
    family: device.family,
    pools: device.pools.map(poolFields),
    blocks: device.blocks,
    lutMemory: device.lutMemory,
    logic: device.logic,
  });
}

function poolFields({ name, blocks, unitsPerBlock }: Pool) {
  return { name, blocks, unitsPerBlock };
}
