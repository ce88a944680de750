import {
  type BlockUse,
  type Candidate,
  type Choices,
  candidateUses,
  type Fragment,
  type Part,
} from "../candidates/index.js";
import {
  apportion,
  type Layout,
  type MemoryRequest,
  type PlanBlock,
  requestBits,
  shapeName,
  type Tenant,
} from "../model/index.js";
import type { PackProgram } from "../program/index.js";

/** Items `first` to `first + count - 1` of a request or a group, all held by one candidate. */
interface Run {
  readonly candidate: Candidate;
  readonly parts: readonly Part[];
  /** For each part of the candidate, the request it stands for. */
  readonly requests: readonly number[];
  readonly first: number;
  readonly count: number;
  /** Instances from one member to the next: the copies of the group; 0 for a memory that stands alone. */
  readonly memberStep: number;
  /** For each part, the members that the candidate holds. */
  readonly members: readonly number[];
}

/** Where everything is: blocks, and for each request its layouts. */
export interface Placement {
  readonly blocks: readonly PlanBlock[];
  readonly layouts: readonly (readonly Layout[])[];
}

/** A fragment of `count` items, waiting for a partner. */
interface Token {
  readonly run: Run;
  readonly use: BlockUse;
  readonly fragment: Fragment;
  first: number;
  count: number;
}

/** Takes whole runs off a list of intervals. */
class Intervals {
  constructor(private readonly list: { first: number; count: number }[]) {}

  take(count: number): { first: number; count: number }[] {
    const taken: { first: number; count: number }[] = [];
    let left = count;
    while (left > 0) {
      const head = this.list[0];
      if (head === undefined) throw new Error("more instances chosen than there are");
      const part = Math.min(left, head.count);
      taken.push({ first: head.first, count: part });
      head.first += part;
      head.count -= part;
      left -= part;
      if (head.count === 0) this.list.shift();
    }
    return taken;
  }
}

/** Which instances take which candidate: groups first, then what they leave alone. */
function runsOf(pack: PackProgram, counts: readonly number[]): Run[] {
  const { choices } = pack;
  const runs: Run[] = [];
  const open = choices.requests.map(({ request }): { first: number; count: number }[] => {
    return request.lockstep === null && request.exclusive === null
      ? [{ first: 0, count: request.instances }]
      : [];
  });
  const groupCopies = choices.groups.map((group) => new Intervals([{ first: 0, count: group.copies }]));
  pack.columns.forEach((column, index) => {
    if (column.sort !== "group" || !counts[index]) return;
    const group = choices.groups[column.owner]!;
    for (const { first, count } of groupCopies[column.owner]!.take(counts[index]!)) {
      column.config.alone.forEach((alone, part) => {
        const { members } = group.parts[part]!;
        for (let member = members - alone; member < members; member++) {
          open[group.requests[part]!]!.push({ first: member * group.copies + first, count });
        }
      });
      const { joined, stackedParts } = column.config;
      if (joined === null) continue;
      runs.push({
        candidate: joined,
        parts: stackedParts.map((part) => group.parts[part]!),
        requests: stackedParts.map((part) => group.requests[part]!),
        first,
        count,
        memberStep: group.copies,
        members: stackedParts.map((part) => group.parts[part]!.members - column.config.alone[part]!),
      });
    }
  });
  const alone = open.map((list) => new Intervals(list));
  pack.columns.forEach((column, index) => {
    if (column.sort !== "request" || !counts[index]) return;
    const { request } = choices.requests[column.owner]!;
    for (const { first, count } of alone[column.owner]!.take(counts[index]!)) {
      runs.push({
        candidate: column.candidate,
        parts: [{ request, members: 1 }],
        requests: [column.owner],
        first,
        count,
        memberStep: 0,
        members: [1],
      });
    }
  });
  return runs;
}

function tenantsOf(run: Run, use: BlockUse, first: number, second: boolean): Tenant[] {
  const { option } = use;
  return use.pieces.map((piece) => {
    const lastBit = piece.runs.at(-1)!.bits[1];
    return {
      memory: run.parts[piece.part]!.request.name,
      instance: piece.member * run.memberStep + first,
      copy: piece.copy,
      rows: piece.rows,
      bits: [piece.runs[0]!.bits[0], lastBit] as const,
      ports: second ? (["B"] as const) : option.ports,
      shape: shapeName(option.shape),
      lane: use.lane,
      inverted: second ? !piece.inverted : piece.inverted,
      word: second ? option.shape.depth - 1 - piece.word : piece.word,
      runs: piece.runs.map(({ bits, at }) => ({ bits, at })),
    };
  });
}

/** Pairs fragments, the smallest with the largest that it fits beside: the fewest blocks with two in each. */
function pairTokens(
  tokens: readonly Token[],
  emit: (a: Token, b: Token | null, count: number) => void,
): void {
  const queue = [...tokens].sort((a, b) => a.fragment.extent - b.fragment.extent);
  let low = 0;
  let high = queue.length - 1;
  while (low <= high) {
    const small = queue[low]!;
    const large = queue[high]!;
    const fits = small.fragment.extent + large.fragment.extent <= large.fragment.cells;
    const count = low === high ? Math.floor(large.count / 2) : Math.min(small.count, large.count);
    if (!fits || count === 0) {
      emit(large, null, large.count);
      high -= 1;
      continue;
    }
    emit(large, small, count);
    if (small.count === 0) low += 1;
    if (large.count === 0) high -= 1;
  }
}

function blocksOf(runs: readonly Run[]): PlanBlock[] {
  const blocks: PlanBlock[] = [];
  const next = new Map<string, number>();
  const push = (use: BlockUse, tenants: Tenant[], repeat: number) => {
    const kind = use.option.kind.name;
    const number = next.get(kind) ?? 1;
    next.set(kind, number + repeat);
    blocks.push({ id: `${kind}-${number}`, kind, arrangement: use.option.arrangement, repeat, tenants });
  };
  const tokens = new Map<string, Token[]>();
  for (const run of runs) {
    for (const use of candidateUses(run.candidate)) {
      if (use.fragment === null) {
        push(use, tenantsOf(run, use, run.first, false), run.count);
        continue;
      }
      const list = tokens.get(use.fragment.shareKey) ?? [];
      list.push({ run, use, fragment: use.fragment, first: run.first, count: run.count });
      tokens.set(use.fragment.shareKey, list);
    }
  }
  for (const list of tokens.values()) {
    pairTokens(list, (a, b, count) => {
      const tenants = tenantsOf(a.run, a.use, a.first, false);
      a.first += count;
      a.count -= count;
      if (b !== null) {
        tenants.push(...tenantsOf(b.run, b.use, b.first, true));
        b.first += count;
        b.count -= count;
      }
      push(a.use, tenants, count);
    });
  }
  return blocks;
}

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

function layoutsOf(choices: Choices, runs: readonly Run[]): Layout[][] {
  const layouts = choices.requests.map((): Layout[] => []);
  for (const run of runs) {
    const { candidate } = run;
    const uses = candidateUses(candidate);
    const owners = run.parts.flatMap(({ request }, part) =>
      Array.from({ length: run.members[part]! }, (_, member) => ({ request, part, member })),
    );
    const weights = owners.map(({ request }) => requestBits(request));
    const luts = apportion(candidate.luts, weights);
    const registers = apportion(candidate.registers, weights);
    owners.forEach(({ request, part, member }, index) => {
      const first = member * run.memberStep + run.first;
      layouts[run.requests[part]!]!.push({
        instances: [first, first + run.count - 1],
        realisation: candidate.realisation,
        home: candidate.home,
        copies: candidate.copies,
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

/** Turns how many of each column into which instance lies where. */
export function place(pack: PackProgram, counts: readonly number[]): Placement {
  const runs = runsOf(pack, counts);
  return { blocks: blocksOf(runs), layouts: layoutsOf(pack.choices, runs) };
}
