import type { BlockUse, Candidate, Choices } from "../candidates/index.js";
import { apportion, type Layout, type MemoryRequest, requestBits, shapeName } from "../model/index.js";
import type { Run } from "./instance-runs.js";

function tilesOf(uses: readonly BlockUse[], part: number, member: number): Layout["tiles"] {
  const groups = new Map<string, BlockUse[]>();
  for (const use of uses) {
    if (!use.pieces.some((piece) => piece.part === part && piece.member === member)) continue;
    const key = `${use.option.kind.name} ${shapeName(use.option.shape)}`;
    groups.set(key, [...(groups.get(key) ?? []), use]);
  }
  return [...groups.values()].map((own) => ({
    kind: own[0]!.option.kind.name,
    shape: shapeName(own[0]!.option.shape),
    count: own.length,
    deep: cascadeOf(own, part, member),
  }));
}

/** Most tiles of one copy that hold the same bit of a member, one above the other. */
function cascadeOf(uses: readonly BlockUse[], part: number, member: number): number {
  const pieces = uses.flatMap((use) =>
    use.pieces.filter((piece) => piece.part === part && piece.member === member),
  );
  const columns = new Map<string, number>();
  for (const { copy, runs } of pieces) columns.set(`${copy},${runs[0]!.bits[0]}`, 0);
  for (const key of columns.keys()) {
    const [copy, bit] = key.split(",").map(Number) as [number, number];
    const over = pieces.filter(
      (piece) => piece.copy === copy && piece.runs[0]!.bits[0] <= bit && piece.runs.at(-1)!.bits[1] >= bit,
    );
    columns.set(key, over.length);
  }
  return Math.max(0, ...columns.values());
}

function sameLayout(a: Layout, b: Layout): boolean {
  const { instances: _a, ...restA } = a;
  const { instances: _b, ...restB } = b;
  return JSON.stringify(restA) === JSON.stringify(restB);
}

/** The layouts of each request: runs of instances that are laid out alike, in their order. */
export function layoutsOf(choices: Choices, runs: readonly Run[]): Layout[][] {
  const layouts = choices.requests.map((): Layout[] => []);
  for (const run of runs) {
    const { candidate, uses } = run;
    const owners = run.parts.flatMap(({ request }, part) =>
      Array.from({ length: run.members[part]! }, (_, member) => ({ request, part, member })),
    );
    const weights = owners.map(({ request }) => requestBits(request));
    const luts = apportion(candidate.luts, weights);
    const registers = apportion(candidate.registers, weights);
    owners.forEach(({ request, part, member }, index) => {
      const first = (run.firstMembers[part]! + member) * run.memberStep + run.first;
      layouts[run.requests[part]!]!.push({
        instances: [first, first + run.count - 1],
        realisation: candidate.realisation,
        home: candidate.home,
        copies: candidate.copies,
        pump: candidate.pump,
        stored: storedGeometry(request, candidate),
        tiles: tilesOf(uses, part, member),
        cascade: cascadeOf(uses, part, member),
        luts: luts[index]!,
        lutMemory: candidate.lutMemory,
        registers: registers[index]!,
      });
    });
  }
  return layouts.map((list) => {
    const merged: Layout[] = [];
    for (const layout of list.sort((a, b) => a.instances[0] - b.instances[0])) {
      const last = merged.at(-1);
      if (last !== undefined && last.instances[1] + 1 === layout.instances[0] && sameLayout(last, layout)) {
        merged[merged.length - 1] = { ...last, instances: [last.instances[0], layout.instances[1]] };
      } else merged.push(layout);
    }
    return merged;
  });
}

function storedGeometry(request: MemoryRequest, candidate: Candidate): Layout["stored"] {
  return {
    depth: request.depth / candidate.wordsInStored,
    width: request.width * candidate.wordsInStored,
  };
}
