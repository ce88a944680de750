import { type Design, type MemoryRequest, portsName, requestBits } from "../model/index.js";
import { type Column, fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { paint } from "./paint.js";
import { counted, figure, plain } from "./text.js";

/** The memory requests of a design as text, each with the formula that gave its depth and its width. */
export function deriveTable(design: Design, options: TextOptions = {}): string {
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong } = paint(color);
  const columns: Column[] = [
    { head: "memory", width: 24 },
    { head: "words x bits", width: 16, wrap: true },
    { head: "ports", width: 7, wrap: true },
    { head: "inst.", width: 5, align: "right" },
    { head: "how it came about", width: width - 60, wrap: true },
  ];
  const rows = design.requests.map((request) => [
    plain(request.name),
    `${figure(request.depth)} x ${figure(request.width)}`,
    portsName(request.ports),
    figure(request.instances),
    originLines(request).join("\n"),
  ]);
  const bits = design.requests.reduce((sum, request) => sum + requestBits(request) * request.instances, 0);
  const title = `${plain(design.name)}: ${counted(design.requests.length, "memory", "memories")}`;
  const parts = [
    strong(prose(title, width)),
    grid(fitted(columns, rows, width), rows, color),
    prose(`${counted(bits, "bit")} in all instances together.`, width),
  ];
  if (design.warnings.length > 0) {
    const notes = design.warnings.map(({ subject, message }) =>
      prose(`- ${plain(subject)}: ${plain(message)}`, width, 2),
    );
    parts.push([strong("Warnings"), ...notes].join("\n"));
  }
  return `${parts.join("\n\n")}\n`;
}

function originLines(request: MemoryRequest): string[] {
  const lines =
    request.formula === null
      ? ["as written"]
      : [`words: ${plain(request.formula.depth)}`, `bits: ${plain(request.formula.width)}`];
  const traits: string[] = [];
  if (request.lane !== null) traits.push(`write lanes of ${counted(request.lane, "bit")}`);
  if (request.read === "async") traits.push("asynchronous read");
  if (request.clocks === 2) traits.push("two clocks");
  const { read, write } = request.wordsPerAccess;
  if (read !== 1) traits.push(`reads ${figure(read)} words at once`);
  if (write !== 1) traits.push(`writes ${figure(write)} words at once`);
  if (request.contents !== null) traits.push(`contents of ${plain(request.contents)} at start`);
  else if (request.initialContents) traits.push("contents at start");
  if (request.collision !== "any") traits.push(`collisions show the ${request.collision} word`);
  if (request.lockstep !== null) traits.push(`lockstep group ${plain(request.lockstep.group)}`);
  if (request.exclusive !== null) traits.push(`exclusive group ${plain(request.exclusive.group)}`);
  if (request.realisation !== null) traits.push(`pinned to ${request.realisation}`);
  if (request.homes !== null) traits.push(`only in ${plain(request.homes.join(", "))}`);
  if (request.pump !== null) traits.push(`pumped at up to ${request.pump} x clock`);
  if (request.maxCascade !== null) traits.push(`at most ${request.maxCascade} deep`);
  return traits.length > 0 ? [...lines, traits.join(", ")] : lines;
}

/** The requests as JSON text, format `ramtailor-requests/1`. `bits` are those of one instance. */
export function deriveJson(design: Design): string {
  return jsonText({
    format: "ramtailor-requests/1",
    design: design.name,
    device: design.device,
    clockMHz: design.clockMHz,
    requests: design.requests.map((request) => ({
      name: request.name,
      structure: request.structure,
      depth: request.depth,
      width: request.width,
      ports: request.ports,
      lane: request.lane,
      read: request.read,
      clocks: request.clocks,
      instances: request.instances,
      bits: requestBits(request),
      lockstep: request.lockstep,
      exclusive: request.exclusive,
      wordsPerAccess: request.wordsPerAccess,
      realisation: request.realisation,
      homes: request.homes,
      pump: request.pump,
      maxCascade: request.maxCascade,
      initialContents: request.initialContents,
      contents: request.contents,
      collision: request.collision,
      formula: request.formula,
    })),
    warnings: design.warnings.map(({ subject, message }) => ({ subject, message })),
  });
}
