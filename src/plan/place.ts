import {
  type BlockUse,
  type Candidate,
  type Choices,
  candidateUses,
  type Fragment,
  type Part,
  placeStack,
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
import { type PackProgram, type Spending, type StackKey, typeIndex } from "../program/index.js";

/** Items `first` to `first + count - 1` of a request or a group, all held by one candidate. */
interface Run {
  readonly candidate: Candidate;
  /** Every block use of one item. */
  readonly uses: readonly BlockUse[];
  readonly parts: readonly Part[];
  /** For each part of the candidate, the request it stands for. */
  readonly requests: readonly number[];
  readonly first: number;
  readonly count: number;
  /** Instances from one member to the next: the copies of the group; 0 for a memory that stands alone. */
  readonly memberStep: number;
  /** For each part, the members that the candidate holds, and the first of them. */
  readonly members: readonly number[];
  readonly firstMembers: readonly number[];
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

/** Items `first` to `first + count - 1`. */
interface Interval {
  first: number;
  count: number;
}

/** Takes whole runs off a list of intervals. */
class Intervals<T extends Interval> {
  constructor(private readonly list: T[]) {}

  take(count: number): T[] {
    const taken: T[] = [];
    let left = count;
    while (left > 0) {
      const head = this.list[0];
      if (head === undefined) throw new Error("more instances chosen than there are");
      const part = Math.min(left, head.count);
      taken.push({ ...head, count: part });
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
  const open = choices.requests.map(({ request }): Interval[] => {
    return request.lockstep === null && request.exclusive === null
      ? [{ first: 0, count: request.instances }]
      : [];
  });
  /** For each sort of stack of each group, the copies that have one, and the first member of each part in it. */
  const openStacks = choices.groups.map(({ stacks }) =>
    stacks.map((): (Interval & { readonly firstMembers: readonly number[] })[] => []),
  );
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
      const { joined, stackedParts, stacks } = column.config;
      // Like members are interchangeable: the first ones are stacked, the last ones stand alone.
      const next = group.parts.map(() => 0);
      stacks.forEach((held, stack) => {
        for (let each = 0; each < held; each++) {
          openStacks[column.owner]![stack]!.push({ first, count, firstMembers: [...next] });
          group.stacks[stack]!.members.forEach((members, part) => {
            next[part]! += members;
          });
        }
      });
      if (joined === null) continue;
      runs.push({
        candidate: joined,
        uses: candidateUses(joined),
        parts: stackedParts.map((part) => group.parts[part]!),
        requests: stackedParts.map((part) => group.requests[part]!),
        first,
        count,
        memberStep: group.copies,
        members: stackedParts.map((part) => group.parts[part]!.members - column.config.alone[part]!),
        firstMembers: stackedParts.map(() => 0),
      });
    }
  });
  const stacks = openStacks.map((lists) => lists.map((list) => new Intervals(list)));
  pack.columns.forEach((column, index) => {
    if (column.sort !== "stack" || !counts[index]) return;
    const { copies, parts, requests, stacks: sorts } = choices.groups[column.owner]!;
    for (const taken of stacks[column.owner]![column.stack]!.take(counts[index]!)) {
      runs.push({
        candidate: column.candidate,
        uses: candidateUses(column.candidate),
        parts,
        requests,
        ...taken,
        memberStep: copies,
        members: sorts[column.stack]!.members,
      });
    }
  });
  pack.columns.forEach((column, index) => {
    if (column.sort !== "member" || !counts[index]) return;
    const group = choices.groups[column.owner]!;
    const { part, member } = group.members[column.place]!;
    runs.push({
      candidate: column.candidate,
      uses: candidateUses(column.candidate),
      parts: [{ request: group.parts[part]!.request, members: 1 }],
      requests: [group.requests[part]!],
      first: member * group.copies,
      count: group.copies,
      memberStep: 0,
      members: [1],
      firstMembers: [0],
    });
  });
  const alone = open.map((list) => new Intervals(list));
  pack.columns.forEach((column, index) => {
    if (column.sort !== "request" || !counts[index]) return;
    const { request } = choices.requests[column.owner]!;
    const uses = candidateUses(column.candidate);
    for (const { first, count } of alone[column.owner]!.take(counts[index]!)) {
      runs.push({
        candidate: column.candidate,
        uses,
        parts: [{ request, members: 1 }],
        requests: [column.owner],
        first,
        count,
        memberStep: 0,
        members: [1],
        firstMembers: [0],
      });
    }
  });
  return runs;
}

/** How a use lies in its block: which ports it takes, and where its words go. */
interface Berth {
  readonly ports: Tenant["ports"];
  readonly turns: readonly number[];
  /** Word of the block that holds what the use has in word 0; words run the other way where inverted. */
  readonly word: number;
  readonly inverted: boolean;
}

function tenantsOf(run: Run, use: BlockUse, first: number, berth: Berth): Tenant[] {
  const { option } = use;
  return use.pieces.map((piece) => ({
    memory: run.parts[piece.part]!.request.name,
    instance: (run.firstMembers[piece.part]! + piece.member) * run.memberStep + first,
    copy: piece.copy,
    rows: piece.rows,
    bits: [piece.runs[0]!.bits[0], piece.runs.at(-1)!.bits[1]] as const,
    ports: berth.ports,
    turns: berth.turns,
    shape: shapeName(option.shape),
    lane: use.lane,
    inverted: berth.inverted ? !piece.inverted : piece.inverted,
    word: berth.inverted ? berth.word - piece.word : berth.word + piece.word,
    runs: piece.runs.map(({ bits, at }) => ({ bits, at })),
  }));
}

/** Hands out the turns of a block's ports, one tenant after the other. */
class TurnDesk {
  private left: [number, number];

  constructor(pump: number) {
    this.left = [pump, pump];
  }

  take(use: BlockUse): Pick<Berth, "ports" | "turns"> {
    const { option } = use;
    const { stackRule, turns } = option;
    if (option.pump === 1) return { ports: option.ports, turns: option.ports.map(() => 1) };
    const onA = stackRule?.joint === true ? Math.min(turns[0], this.left[0]) : turns[0];
    const onB = stackRule?.joint === true ? turns[0] - onA : turns[1];
    this.left = [this.left[0] - onA, this.left[1] - onB];
    const used = (
      [
        ["A", onA],
        ["B", onB],
      ] as const
    ).filter(([, count]) => count > 0);
    return { ports: used.map(([port]) => port), turns: used.map(([, count]) => count) };
  }
}

const alone = (use: BlockUse): Berth => ({
  ...new TurnDesk(use.option.pump).take(use),
  word: 0,
  inverted: false,
});

const secondOfTwo = (use: BlockUse): Berth => ({
  ports: ["B"],
  turns: [1],
  word: use.option.shape.depth - 1,
  inverted: true,
});

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

/** Fills blocks by the patterns of a stack key, from the tokens of each type in turn. */
function stackTokens(
  key: StackKey,
  tokens: readonly Token[],
  patterns: NonNullable<Spending["patterns"][number]>,
  emit: (held: readonly { token: Token; first: number; berth: Berth }[], count: number) => void,
): void {
  const queues = key.types.map((_, type) =>
    tokens.filter(({ fragment }) => typeIndex(key, fragment) === type),
  );
  for (const { pattern, count } of patterns) {
    const { places } = placeStack(
      pattern.map((type) => key.types[type]!.rows),
      key.rule.depth,
    )!;
    for (let left = count * key.times; left > 0; ) {
      // Two places of one type take two tokens, or two parts of one.
      const wanted = pattern.map((type) => pattern.filter((other) => other === type).length);
      const heads = pattern.map((type) => queues[type]![0]!);
      const times = pattern.reduce(
        (most, _, place) => Math.min(most, Math.floor(heads[place]!.count / wanted[place]!)),
        left,
      );
      const taken = pattern.map((type) => takeToken(queues[type]!, Math.max(1, times)));
      const step = times > 0 ? times : 1;
      const desk = new TurnDesk(taken[0]!.token.use.option.pump);
      const held = taken.map(({ token, first }, place) => ({
        token,
        first,
        berth: { ...desk.take(token.use), ...places[place]! },
      }));
      emit(held, step);
      left -= step;
    }
  }
}

function takeToken(queue: Token[], count: number): { token: Token; first: number } {
  const token = queue[0]!;
  const { first } = token;
  token.first += count;
  token.count -= count;
  if (token.count === 0) queue.shift();
  return { token, first };
}

function blocksOf(pack: PackProgram, spending: Spending, runs: readonly Run[]): PlanBlock[] {
  const blocks: PlanBlock[] = [];
  const next = new Map<string, number>();
  const push = ({ option }: BlockUse, tenants: Tenant[], repeat: number) => {
    const kind = option.kind.name;
    const number = next.get(kind) ?? 1;
    next.set(kind, number + repeat);
    const { arrangement, pump } = option;
    blocks.push({ id: `${kind}-${number}`, kind, arrangement, pump, repeat, tenants });
  };
  const tokens = new Map<string, Token[]>();
  for (const run of runs) {
    for (const use of run.uses) {
      if (use.fragment === null) {
        push(use, tenantsOf(run, use, run.first, alone(use)), run.count);
        continue;
      }
      const list = tokens.get(use.fragment.shareKey) ?? [];
      list.push({ run, use, fragment: use.fragment, first: run.first, count: run.count });
      tokens.set(use.fragment.shareKey, list);
    }
  }
  pack.shareKeys.forEach((key, index) => {
    const list = tokens.get(key.name);
    if (list === undefined) return;
    if (key.sort === "stack") {
      stackTokens(key, list, spending.patterns[index]!, (held, count) => {
        const tenants = held.flatMap(({ token, first, berth }) =>
          tenantsOf(token.run, token.use, first, berth),
        );
        push(held[0]!.token.use, tenants, count);
      });
      return;
    }
    pairTokens(list, (a, b, count) => {
      const tenants = tenantsOf(a.run, a.use, a.first, alone(a.use));
      a.first += count;
      a.count -= count;
      if (b !== null) {
        tenants.push(...tenantsOf(b.run, b.use, b.first, secondOfTwo(b.use)));
        b.first += count;
        b.count -= count;
      }
      push(a.use, tenants, count);
    });
  });
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

/** Turns how many of each column into which instance lies where. */
export function place(pack: PackProgram, counts: readonly number[], spending: Spending): Placement {
  const runs = runsOf(pack, counts);
  return { blocks: blocksOf(pack, spending, runs), layouts: layoutsOf(pack.choices, runs) };
}
