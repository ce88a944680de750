import {
  type Device,
  type Layout,
  type MemoryRequest,
  type Plan,
  type PlanMemory,
  readers,
  writers,
} from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Subject } from "./check-resolve.js";
import { accessRatio } from "./check-words.js";

/** Copies that a realisation makes of an instance: an exact number, or at most `most`; null where it is illegal. */
function copiesOf(request: MemoryRequest, realisation: Layout["realisation"]): [number, number] | null {
  const { ports } = request;
  const r = readers(ports);
  const w = writers(ports);
  switch (realisation) {
    case "one-copy":
      return ports.read + ports.write + ports.readWrite <= 2 ? [1, 1] : null;
    case "replication":
      if (w > 1) return null;
      return w === 1 ? [r, r] : [Math.ceil(r / 2), r];
    case "dual-port-replication":
      if (ports.readWrite !== 1 || ports.write !== 0) return null;
      return [Math.max(1, r - 1), Math.max(1, r - 1)];
    case "live-value-table":
      return w >= 2 ? [w * r, w * r] : null;
    case "exclusive-or":
      return w >= 2 ? [w * (w - 1) + w * r, w * (w - 1) + w * r] : null;
    case "pumped":
      return [1, r];
    case "lut-memory":
    case "registers":
      return [1, Number.POSITIVE_INFINITY];
    default:
      return null;
  }
}

function checkHome(
  request: MemoryRequest,
  layout: Layout,
  device: Device,
  where: string,
  report: Report,
): void {
  const { home, realisation } = layout;
  const logic = home === "LUT" || home === "registers";
  if (!logic && !device.pools.some((pool) => pool.name === home)) {
    report.add("home", where, `the device has no pool ${home}`);
  }
  if (home === "LUT" && device.lutMemory === null) report.add("home", where, "the device has no LUT memory");
  if (request.homes !== null && !request.homes.includes(home)) {
    report.add("home", where, `it lives in ${home}, but may live in ${request.homes.join(", ")}`);
  }
  const expected = realisation === "lut-memory" ? "LUT" : realisation === "registers" ? "registers" : null;
  if (expected === null ? logic : home !== expected) {
    report.add("home", where, `realisation ${realisation} cannot live in ${home}`);
  }
}

function checkLayoutPump(
  request: MemoryRequest,
  { realisation, pump }: Layout,
  where: string,
  report: Report,
): void {
  if (realisation === "pumped" ? pump === 1 : pump !== 1) {
    report.add("pump", where, `${realisation} with blocks clocked ${pump} times faster`);
  }
  if (pump > (request.pump ?? 1)) {
    report.add("pump", where, `clocked ${pump} times faster; ${request.pump ?? 1} times at most allowed`);
  }
  if (pump > 1 && (request.clocks === 2 || request.read === "async")) {
    report.add("pump", where, "a memory of two clocks, or that reads asynchronously, cannot be pumped");
  }
}

function checkLayout(
  request: MemoryRequest,
  layout: Layout,
  device: Device,
  where: string,
  report: Report,
): void {
  checkHome(request, layout, device, where, report);
  checkLayoutPump(request, layout, where, report);
  if (request.realisation !== null && request.realisation !== layout.realisation) {
    report.add("realisation", where, `${layout.realisation} instead of the pinned ${request.realisation}`);
  }
  const copies = copiesOf(request, layout.realisation);
  if (copies === null) {
    report.add("realisation", where, `the ports do not allow ${layout.realisation}`);
  } else if (layout.copies < copies[0] || layout.copies > copies[1]) {
    report.add(
      "copies",
      where,
      `${layout.copies} copies; ${layout.realisation} makes ${copies.join(" to ")}`,
    );
  }
  const ratio = accessRatio(request);
  const { depth, width } = layout.stored;
  const same = depth === request.depth && width === request.width;
  const wide = ratio > 1 && depth * ratio === request.depth && width === request.width * ratio;
  if (!same && !wide) report.add("stored-geometry", where, `${depth} words of ${width} bits are stored`);
}

function checkPartition(subject: Subject, where: string, report: Report): void {
  let next = 0;
  for (const { instances } of subject.layouts) {
    if (instances[0] !== next) {
      report.add("instances", where, `a layout starts at instance ${instances[0]} instead of ${next}`);
    }
    next = Math.max(next, instances[1] + 1);
  }
  if (next !== subject.request.instances) {
    report.add("instances", where, `layouts end before instance ${next} of ${subject.request.instances}`);
  }
}

function checkFields(memory: PlanMemory, request: MemoryRequest, where: string, report: Report): void {
  const pairs: readonly (readonly [string, unknown, unknown])[] = [
    ["structure", memory.structure, request.structure],
    ["depth", memory.depth, request.depth],
    ["width", memory.width, request.width],
    ["lane", memory.lane, request.lane],
    ["instances", memory.instances, request.instances],
    ["read ports", memory.ports.read, request.ports.read],
    ["write ports", memory.ports.write, request.ports.write],
    ["read-write ports", memory.ports.readWrite, request.ports.readWrite],
    ["copies", memory.copies, memory.layouts.reduce((most, layout) => Math.max(most, layout.copies), 0)],
    ["cascade", memory.cascade, memory.layouts.reduce((most, layout) => Math.max(most, layout.cascade), 0)],
    ["realisation", memory.realisation, memory.layouts[0]?.realisation],
  ];
  for (const [what, stated, found] of pairs) {
    if (stated !== found) report.add("memory-fields", where, `${what} is ${found}, not ${stated}`);
  }
}

/**
 * Each memory of the plan states its request's geometry; its layouts partition its instances and have a realisation,
 * copies, a home and stored words that the request allows.
 */
export function checkLayouts(
  plan: Plan,
  subjects: ReadonlyMap<string, Subject>,
  device: Device,
  report: Report,
): void {
  if (plan.device !== device.name) {
    report.add("device", "plan", `the plan is for ${plan.device}, not for ${device.name}`);
  }
  for (const memory of plan.memories) {
    const subject = subjects.get(memory.name);
    if (subject === undefined) continue;
    const where = `memory ${memory.name}`;
    checkFields(memory, subject.request, where, report);
    checkPartition(subject, where, report);
    for (const layout of subject.layouts) {
      const at = `${where}, instances ${layout.instances.join(" to ")}`;
      checkLayout(subject.request, layout, device, at, report);
    }
  }
}
