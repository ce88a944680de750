import type { Row, Term } from "./integer-program.js";
import type { Column, PackProgram } from "./pack-program.js";
import type { Stage } from "./stage.js";

/** The variable of a column; null: it is not in play. */
type VariableOf = (column: number) => number | null;

/** The columns in play of a list, each with its variable, and how often one item of it counts: columns that do not count are left out. */
function itemTerms(
  { columns }: PackProgram,
  list: readonly number[],
  variableOf: VariableOf,
  countOf: (column: Column) => number,
): Term[] {
  return list.flatMap((index) => {
    const variable = variableOf(index);
    const coefficient = countOf(columns[index]!);
    return variable === null || coefficient === 0 ? [] : [{ variable, coefficient }];
  });
}

/** All instances of each memory have a candidate; those of a memory in groups, as many as the layouts of these leave alone. */
function memoryRows(pack: PackProgram, owners: Stage["owners"], variableOf: VariableOf): Row[] {
  const { choices, columnsOf } = pack;
  return choices.requests.flatMap(({ request }, owner): Row[] => {
    if (owners !== null && !owners.requests.has(owner)) return [];
    const terms = itemTerms(pack, columnsOf.requests[owner]!, variableOf, () => 1);
    let isGrouped = false;
    choices.groups.forEach((group, index) => {
      group.requests.forEach((member, part) => {
        if (member !== owner) return;
        isGrouped = true;
        const alone = (column: Column) => (column.sort === "group" ? -column.config.alone[part]! : 0);
        terms.push(...itemTerms(pack, columnsOf.groups[index]!, variableOf, alone));
      });
    });
    const right = isGrouped ? 0 : request.instances;
    return [{ name: `r${owner}`, terms, lower: right, upper: right }];
  });
}

/** Each member of a group has a candidate, or each copy of the group a layout, and each stack of a layout a candidate. */
function groupRows(pack: PackProgram, owners: Stage["owners"], variableOf: VariableOf): Row[] {
  const { choices, columnsOf } = pack;
  return choices.groups.flatMap((group, owner): Row[] => {
    if (owners !== null && !owners.groups.has(owner)) return [];
    const own = (countOf: (column: Column) => number) =>
      itemTerms(pack, columnsOf.groups[owner]!, variableOf, countOf);
    const members = group.members.map((_, place): Row => {
      const terms = own((column) => (column.sort === "member" && column.place === place ? 1 : 0));
      return { name: `m${owner}_${place}`, terms, lower: 1, upper: 1 };
    });
    if (members.length > 0) return members;
    const layouts = own((column) => (column.sort === "group" ? 1 : 0));
    const stacks = group.stacks.map((_, stack): Row => {
      const terms = own((column) => {
        if (column.sort === "stack" && column.stack === stack) return 1;
        return column.sort === "group" ? -column.config.stacks[stack]! : 0;
      });
      return { name: `h${owner}_${stack}`, terms, lower: 0, upper: 0 };
    });
    return [{ name: `g${owner}`, terms: layouts, lower: group.copies, upper: group.copies }, ...stacks];
  });
}

/** The rows by which all memories and groups have what they need: of some owners only, if those are given. */
export function ownerRows(pack: PackProgram, owners: Stage["owners"], variableOf: VariableOf): Row[] {
  return [...memoryRows(pack, owners, variableOf), ...groupRows(pack, owners, variableOf)];
}
