import type { IntegerProgram } from "./integer-program.js";
import { lutsMatter } from "./luts.js";
import {
  columnCandidate,
  fragmentTimes,
  mostItems,
  type Objective,
  ownerOf,
  type PackProgram,
  pairingExtent,
  type StackKey,
  sharedByTwo,
  typeIndex,
} from "./pack-program.js";
import { type Holder, pairRows } from "./pair-rows.js";
import { classesOf, type Pattern } from "./patterns.js";
import { mostOfPattern, patternsInUse } from "./patterns-in-use.js";
import { fragmentsByKey } from "./share-rows.js";

/** An objective, and what one of it counts in a sum of several. */
export interface Aim {
  readonly objective: Objective | "overrun";
  readonly weight: number;
}

/** What the integer program minimises and what is already settled. */
export interface Stage {
  /** The sum of these is minimised. */
  readonly minimise: readonly Aim[];
  /** Objectives of earlier stages with the values that must be kept. */
  readonly settled: readonly { readonly objective: Objective | "overrun"; readonly value: number }[];
  /** A proven lower bound on the first of these; null: none is known. */
  readonly atLeast: number | null;
  /** Whether budgets are limits, may be overrun at a price, or are left out. */
  readonly budgets: "hard" | "soft" | "none";
  /** Only these columns' owners; null: all. Owners that are left out have no rows. */
  readonly owners: { readonly requests: ReadonlySet<number>; readonly groups: ReadonlySet<number> } | null;
  /** Only these columns; null: all. */
  readonly columns: ReadonlySet<number> | null;
}

/** An integer program and, for each of its variables, the column it counts (-1: a shared block, an overrun or a count of fragments). */
export interface StagedProgram {
  readonly program: IntegerProgram;
  readonly columnOf: readonly number[];
  /** For each variable, the share key and pattern it counts; null: something else. */
  readonly patternOf: readonly ({ readonly key: number; readonly pattern: Pattern } | null)[];
  /** The variable that counts the blocks of each key which are shared by two, by key index; null: the key has patterns. */
  readonly blocksOf: readonly (number | null)[];
  /**
   * The row of each type of each key with patterns, by key index: types may have one together; null: no column brings that type; empty for keys that
   * are shared by two at most.
   */
  readonly typeRows: readonly (readonly (number | null)[])[];
  /** The rows that bound the blocks of keys which are shared by two, with the threshold of each. */
  readonly shareRows: readonly { readonly row: number; readonly key: number; readonly threshold: number }[];
  /** The row of each budget that is a limit, and then of each objective that is settled; null: it has none. */
  readonly limitRows: readonly (number | null)[];
}

/** The columns of a stage, in their order. */
export function activeColumns(
  { columns }: PackProgram,
  { columns: some, owners }: Pick<Stage, "columns" | "owners">,
): number[] {
  return [...columns.keys()].filter((index) => {
    const { sort, owner } = columns[index]!;
    if (some !== null && !some.has(index)) return false;
    return owners === null || (sort === "request" ? owners.requests : owners.groups).has(owner);
  });
}

/**
 * The integer program of one stage. Variables: columns, then shared blocks or patterns of them, then overruns, then blocks of keys with patterns and
 * counts of fragments.
 */
export function stageProgram(pack: PackProgram, stage: Stage): StagedProgram {
  const { columns, shareKeys, budgets, choices } = pack;
  const active = activeColumns(pack, stage);
  const variableOf = new Map(active.map((column, variable) => [column, variable]));
  const firstShared = active.length;
  const holdersOf = holdersByKey(pack, active);
  const mostOf = shareKeys.map((key, index) =>
    sharedByTwo(key) ? [] : mostOfTypes(pack, key, active, holdersOf[index]!),
  );
  const classes = shareKeys.map((key) => (sharedByTwo(key) ? [] : classesOf(key.types)));
  const luts = lutsMatter(pack, [...stage.minimise, ...stage.settled], stage.budgets, active);
  const costOf = (key: StackKey) => (tenants: number) => (luts ? pack.muxLuts(key, tenants) : 0);
  const patternsOf = shareKeys.map((key, index) =>
    sharedByTwo(key) ? [] : patternsInUse(key, mostOf[index]!, costOf(key)),
  );
  /** A variable a key that is shared by two at most, and one a pattern of another. */
  const shared = shareKeys.flatMap((key, index): { key: number; pattern: Pattern | null }[] =>
    sharedByTwo(key)
      ? [{ key: index, pattern: null }]
      : patternsOf[index]!.map((pattern) => ({ key: index, pattern })),
  );
  const sharedOf = (key: number) =>
    shared.flatMap((entry, index) => (entry.key === key ? [firstShared + index] : []));
  const firstOver = firstShared + shared.length;
  const soft = stage.budgets === "soft";
  const terms = (
    objective: Objective | "overrun",
  ): { readonly variable: number; readonly coefficient: number }[] => {
    const found: { variable: number; coefficient: number }[] = [];
    const add = (variable: number, coefficient: number) => {
      if (coefficient !== 0) found.push({ variable, coefficient });
    };
    if (objective === "overrun") {
      budgets.forEach((budget, index) => {
        add(firstOver + index, budget.weight);
      });
      return found;
    }
    for (const column of active) add(variableOf.get(column)!, pack.costs[objective][column]!);
    if (objective === "blocks") {
      shared.forEach(({ key }, index) => {
        add(firstShared + index, pack.sharedWeight[key]!);
      });
    }
    if (objective === "luts") {
      shared.forEach(({ key, pattern }, index) => {
        if (pattern !== null)
          add(firstShared + index, pack.muxLuts(shareKeys[key] as StackKey, pattern.length));
      });
    }
    return found;
  };
  const objective = new Map<number, number>();
  for (const aim of stage.minimise) {
    for (const { variable, coefficient } of terms(aim.objective)) {
      objective.set(variable, (objective.get(variable) ?? 0) + aim.weight * coefficient);
    }
  }
  const variables: IntegerProgram["variables"][number][] = [
    ...active.map((column, variable) => ({
      name: `x${column}`,
      objective: objective.get(variable) ?? 0,
      upper: mostItems(choices, columns[column]!) as number | null,
    })),
    ...shared.map(({ key, pattern }, index) => ({
      name: `z${index}`,
      objective: objective.get(firstShared + index) ?? 0,
      upper: pattern === null ? null : mostOfPattern(pattern, classes[key]!, mostOf[key]!),
      ...(pattern === null ? ({ isCount: true } as const) : {}),
    })),
    ...(soft
      ? budgets.map((_, index) => ({
          name: `o${index}`,
          objective: objective.get(firstOver + index) ?? 0,
          upper: null,
        }))
      : []),
  ];
  const rows: IntegerProgram["rows"][number][] = [];
  const inPlay = (list: readonly number[]) => list.filter((column) => variableOf.has(column));
  choices.requests.forEach(({ request }, owner) => {
    const own = inPlay(pack.columnsOf.requests[owner]!);
    if (stage.owners !== null && !stage.owners.requests.has(owner)) return;
    const row = own.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 }));
    let grouped = false;
    choices.groups.forEach((group, groupIndex) => {
      group.requests.forEach((member, part) => {
        if (member !== owner) return;
        grouped = true;
        for (const index of inPlay(pack.columnsOf.groups[groupIndex]!)) {
          const column = columns[index]!;
          const alone = column.sort === "group" ? column.config.alone[part]! : 0;
          if (alone > 0) row.push({ variable: variableOf.get(index)!, coefficient: -alone });
        }
      });
    });
    const right = grouped ? 0 : request.instances;
    rows.push({ name: `r${owner}`, terms: row, lower: right, upper: right });
  });
  choices.groups.forEach((group, owner) => {
    if (stage.owners !== null && !stage.owners.groups.has(owner)) return;
    const inGroup = inPlay(pack.columnsOf.groups[owner]!);
    group.members.forEach((_, place) => {
      const own = inGroup.filter((index) => {
        const column = columns[index]!;
        return column.sort === "member" && column.place === place;
      });
      rows.push({
        name: `m${owner}_${place}`,
        terms: own.map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 })),
        lower: 1,
        upper: 1,
      });
    });
    if (group.members.length > 0) return;
    rows.push({
      name: `g${owner}`,
      terms: inGroup
        .filter((column) => columns[column]!.sort === "group")
        .map((column) => ({ variable: variableOf.get(column)!, coefficient: 1 })),
      lower: group.copies,
      upper: group.copies,
    });
    group.stacks.forEach((_, stack) => {
      const row = inGroup.flatMap((index) => {
        const column = columns[index]!;
        const held =
          column.sort === "stack" && column.stack === stack
            ? 1
            : column.sort === "group"
              ? -column.config.stacks[stack]!
              : 0;
        return held === 0 ? [] : [{ variable: variableOf.get(index)!, coefficient: held }];
      });
      rows.push({ name: `h${owner}_${stack}`, terms: row, lower: 0, upper: 0 });
    });
  });
  const typeRows = shareKeys.map((key): (number | null)[] =>
    sharedByTwo(key) ? [] : key.types.map(() => null),
  );
  const shareRows: { row: number; key: number; threshold: number }[] = [];
  shareKeys.forEach((key, index) => {
    const holders = holdersOf[index]!;
    if (!sharedByTwo(key)) {
      const own = sharedOf(index);
      // Without all patterns in play, ones with places for any type may follow.
      const places = new Set(key.complete ? patternsOf[index]!.flat() : key.types.keys());
      for (const types of classes[index]!) {
        const inUse = types.filter((type) => !key.complete || mostOf[index]![type]! > 0);
        let surplus: number | null = null;
        let smaller = inUse.reduce((sum, type) => sum + mostOf[index]![type]!, 0);
        for (const alike of typesByRow(inUse, places)) {
          const [largest] = alike;
          const row: { variable: number; coefficient: number }[] = [];
          for (const { variable, types, times } of holders) {
            const count = times * alike.reduce((sum, type) => sum + (types.get(type) ?? 0), 0);
            if (count > 0) row.push({ variable, coefficient: -count });
          }
          patternsOf[index]!.forEach((pattern, place) => {
            const count = pattern.filter((held) => held === largest).length;
            if (count > 0) row.push({ variable: own[place]!, coefficient: count });
          });
          if (surplus !== null) row.push({ variable: surplus, coefficient: 1 });
          // Places that are left may hold smaller types.
          smaller -= alike.reduce((sum, type) => sum + mostOf[index]![type]!, 0);
          surplus = null;
          if (smaller > 0) {
            surplus = variables.length;
            row.push({ variable: surplus, coefficient: -1 });
            variables.push({ name: `w${index}_${largest}`, objective: 0, upper: smaller });
          }
          for (const type of alike) typeRows[index]![type] = rows.length;
          rows.push({ name: `t${index}_${largest}`, terms: row, lower: 0, upper: null });
        }
      }
      // The blocks of a key, for an engine to branch on rather than on patterns, which stand in for each other.
      const blocks = own.map((variable) => ({ variable, coefficient: 1 }));
      blocks.push({ variable: variables.length, coefficient: -1 });
      // No more blocks than fragments.
      const fragments = mostOf[index]!.reduce((sum, most) => sum + most, 0);
      variables.push({ name: `n${index}`, objective: 0, upper: fragments, isCount: true });
      rows.push({ name: `n${index}`, terms: blocks, lower: 0, upper: 0 });
      return;
    }
    const blocks = sharedOf(index)[0]!;
    const most = (variable: number) => mostItems(choices, columns[active[variable]!]!);
    const sharing = pairRows(`${index}`, holders, key.cells, blocks, variables.length, most);
    // No more blocks than fragments.
    variables[blocks] = { ...variables[blocks]!, upper: sharing.variables.at(-1)?.upper ?? 0 };
    variables.push(...sharing.variables);
    sharing.thresholds.forEach((threshold, place) => {
      if (threshold !== null) shareRows.push({ row: rows.length + place, key: index, threshold });
    });
    rows.push(...sharing.rows);
  });
  const limitRows: (number | null)[] = [];
  if (stage.budgets !== "none") {
    budgets.forEach((budget, index) => {
      limitRows.push(null);
      if (budget.sharedLuts && !luts) return;
      const row = active
        .filter((column) => budget.spends[column]! > 0)
        .map((column) => ({ variable: variableOf.get(column)!, coefficient: budget.spends[column]! }));
      budget.shared.forEach((units, key) => {
        if (units > 0) for (const variable of sharedOf(key)) row.push({ variable, coefficient: units });
      });
      if (budget.sharedLuts) {
        shared.forEach(({ key, pattern }, place) => {
          const luts = pattern === null ? 0 : pack.muxLuts(shareKeys[key] as StackKey, pattern.length);
          if (luts > 0) row.push({ variable: firstShared + place, coefficient: luts });
        });
      }
      if (row.length === 0) return;
      limitRows[index] = rows.length;
      if (soft) {
        const over = firstOver + index;
        const most = row.reduce(
          (sum, { variable, coefficient }) => {
            const items = variables[variable]!.upper;
            return sum === null || items === null ? null : sum + coefficient * items;
          },
          -budget.limit as number | null,
        );
        variables[over] = { ...variables[over]!, upper: most === null ? null : Math.max(0, most) };
        row.push({ variable: over, coefficient: -1 });
      }
      // A variable for the units of each pool but the last, which follows from them and the objective: what an engine branches
      // on, and cuts by, is then how many blocks there are.
      if (!soft && budget.ofPool && budgets[index + 1]?.ofPool === true) {
        row.push({ variable: variables.length, coefficient: -1 });
        variables.push({ name: `u${index}`, objective: 0, upper: budget.limit, isCount: true });
        rows.push({ name: `b${index}`, terms: row, lower: 0, upper: 0 });
      } else rows.push({ name: `b${index}`, terms: row, lower: null, upper: budget.limit });
    });
  }
  if (stage.atLeast !== null && stage.atLeast > 0) {
    const row = terms(stage.minimise[0]!.objective);
    if (row.length > 0) rows.push({ name: "l", terms: row, lower: stage.atLeast, upper: null });
  }
  stage.settled.forEach(({ objective: settled, value }, index) => {
    const row = terms(settled);
    limitRows.push(row.length > 0 ? rows.length : null);
    if (row.length > 0) rows.push({ name: `k${index}`, terms: row, lower: null, upper: value });
  });
  return {
    program: { variables, rows },
    columnOf: [...active, ...variables.slice(active.length).map(() => -1)],
    patternOf: variables.map((_, variable) => {
      const entry = shared[variable - firstShared];
      return entry === undefined || entry.pattern === null
        ? null
        : { key: entry.key, pattern: entry.pattern };
    }),
    blocksOf: shareKeys.map((key, index) => (sharedByTwo(key) ? sharedOf(index)[0]! : null)),
    typeRows,
    shareRows,
    limitRows,
  };
}

/** A variable that counts items of a column, with the fragments of one key that an item brings. */
interface KeyHolder extends Holder {
  /** Fragments of each type, by index; empty where the key is shared by two at most. */
  readonly types: ReadonlyMap<number, number>;
}

/**
 * Types of a class, the largest first, each that patterns have places for with the smaller ones up to the next such: all of these lie in places of
 * that type or larger, so that one row says as much of them as one each.
 */
function typesByRow(types: readonly number[], places: ReadonlySet<number>): number[][] {
  const found: number[][] = [];
  for (const type of types) {
    if (found.length === 0 || places.has(type)) found.push([type]);
    else found.at(-1)!.push(type);
  }
  return found;
}

/** For each key the given columns that bring fragments of it; a column's variable is its place in the list. */
function holdersByKey(pack: PackProgram, columns: readonly number[]): KeyHolder[][] {
  const found = pack.shareKeys.map((): KeyHolder[] => []);
  columns.forEach((index, variable) => {
    const column = pack.columns[index]!;
    for (const [name, fragments] of fragmentsByKey(columnCandidate(column)?.fragments ?? [])) {
      const at = pack.keyIndex.get(name)!;
      const key = pack.shareKeys[at]!;
      const types = new Map<number, number>();
      if (!sharedByTwo(key)) {
        for (const fragment of fragments) {
          const type = typeIndex(key, fragment);
          types.set(type, (types.get(type) ?? 0) + 1);
        }
      }
      const extents = fragments.map((fragment) => pairingExtent(key, fragment));
      found[at]!.push({ variable, extents, types, times: fragmentTimes(pack.choices, column, key) });
    }
  });
  return found;
}

/**
 * The most fragments of each type of a key that any choice brings: for each memory, sort of stack or group the most that its items
 * can bring.
 */
function mostOfTypes(
  pack: PackProgram,
  key: StackKey,
  columns: readonly number[],
  holders: readonly KeyHolder[],
): readonly number[] {
  const most = key.types.map(() => new Map<string, number>());
  for (const { variable, types, times } of holders) {
    const column = pack.columns[columns[variable]!]!;
    const owner = ownerOf(column);
    const items = times * mostItems(pack.choices, column);
    for (const [type, count] of types) {
      most[type]!.set(owner, Math.max(most[type]!.get(owner) ?? 0, items * count));
    }
  }
  return most.map((owners) => [...owners.values()].reduce((sum, count) => sum + count, 0));
}
