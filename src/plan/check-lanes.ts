import { type BlockShape, writers } from "../model/index.js";
import type { Report } from "./check-report.js";
import type { Resident, Segment } from "./check-resolve.js";
import { accessRatio, grouped, hasMixedPorts, wordRange } from "./check-words.js";

/** True where the write side is the wide one of a block with ports of unequal width. */
function writesWide(resident: Resident): boolean {
  return hasMixedPorts(resident.request, resident.layout) && resident.request.wordsPerAccess.write > 1;
}

/** Shapes in which the write side sees the block. */
function writeShapes(segment: Segment, resident: Resident): readonly BlockShape[] {
  if (!writesWide(resident)) return resident.shapes;
  const ratio = accessRatio(resident.request);
  return segment.kind.shapes[segment.arrangement].filter((wide) =>
    resident.shapes.some((shape) => shape.family === wide.family && shape.width * ratio === wide.width),
  );
}

/**
 * The write lane of the request that a stored bit belongs to, when one access writes `narrow` as its n-th word: text
 * that is equal for bits under one enable of the request.
 */
function requestLane(resident: Resident, bit: number, narrow: number): string {
  const { lane, width, wordsPerAccess } = resident.request;
  const word = narrow + Math.floor(bit / width);
  if (lane !== null) return `${word}:${Math.floor((bit % width) / lane)}`;
  const wideWord = resident.layout.stored.width > width;
  return wideWord && wordsPerAccess.write === 1 ? `${word}` : "";
}

interface Owner {
  readonly resident: Resident;
  readonly lane: string;
}

/** Whether one hardware lane may hold bits of both. */
function mayShareLane(a: Owner, b: Owner): boolean {
  const x = a.resident;
  const y = b.resident;
  const same =
    x.request.name === y.request.name && x.instance === y.instance && x.tenant.copy === y.tenant.copy;
  if (same) return a.lane === b.lane;
  const writing = [x, y].filter(({ request }) => writers(request.ports) > 0).length;
  if (writing === 0) return true;
  const [p, q] = [x.request.lockstep, y.request.lockstep];
  const together = p !== null && q !== null && p.group === q.group && p.together && q.together;
  return writing === 2 && together && a.lane === "" && b.lane === "";
}

/** Tenants at the same words of one port: no hardware lane holds bits that the requests write apart. */
function checkSideBySide(residents: readonly Resident[], laneBits: number | null, report: Report): void {
  const owners = new Map<number, Owner[]>();
  for (const resident of residents) {
    const { tenant, request, where } = resident;
    const wide = writesWide(resident);
    const width = resident.shapes[0]!.width;
    for (let narrow = 0; narrow < (wide ? accessRatio(request) : 1); narrow += 1) {
      for (const run of tenant.runs) {
        for (let bit = run.bits[0]; bit <= run.bits[1]; bit += 1) {
          const at = narrow * width + run.at + bit - run.bits[0];
          const hardware = laneBits === null ? 0 : Math.floor(at / laneBits);
          const owner = {
            resident,
            lane: writers(request.ports) > 0 ? requestLane(resident, bit, narrow) : "",
          };
          const others = owners.get(hardware) ?? [];
          owners.set(hardware, others);
          const other = others.find((candidate) => !mayShareLane(owner, candidate));
          if (other !== undefined) {
            const what = `bit ${bit} shares hardware lane ${hardware} (${laneBits ?? "word"} bits)`;
            report.add("lanes", where, `${what} with bits of ${other.resident.where} that are written apart`);
            return;
          }
          if (!others.some((o) => o.resident === resident && o.lane === owner.lane)) others.push(owner);
        }
      }
    }
  }
}

/**
 * No hardware write lane holds bits of two write lanes of a request, nor of two lockstep members that are written in
 * different cycles. Tenants at different words of a port need nothing of each other but the same lane.
 */
export function checkLanes(segments: readonly Segment[], report: Report): void {
  for (const segment of segments) {
    for (const resident of segment.residents) {
      const { lane, shape } = resident.tenant;
      const legal = writeShapes(segment, resident);
      if (lane !== null && legal.length > 0 && !legal.some(({ lanes }) => lanes.includes(lane))) {
        report.add("lanes", resident.where, `${shape} has no write lanes of ${lane} bits`);
      }
    }
    for (const port of segment.arrangement === "simple-dual" ? (["A"] as const) : (["A", "B"] as const)) {
      const users = segment.residents.filter((r) => r.tenant.ports.includes(port) && r.shapes.length > 0);
      if (users.every(({ request }) => writers(request.ports) === 0)) continue;
      // Tenants that take turns set one lane, or all of them none.
      const lanes = new Set(
        users.map(({ tenant }) => tenant.lane).filter((lane) => lane !== null || segment.pump > 1),
      );
      if (lanes.size > 1) {
        report.add(
          "lanes",
          segment.where,
          `port ${port} has write lanes of ${[...lanes].map((lane) => lane ?? "all").join(" and ")} bits`,
        );
      }
      for (const group of grouped(users, ({ tenant }) => wordRange(tenant).join("-"))) {
        checkSideBySide(group, [...lanes][0] ?? null, report);
      }
    }
  }
}
