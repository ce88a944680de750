import { mostItems, ownerOf, type PackProgram } from "./pack-program.js";

/**
 * The most that any choice brings of something: for each memory, sort of stack or group the most that the items of one of its columns
 * can bring, summed up.
 *
 * @param brought columns with what one item of each brings
 */
export function mostOfOwners(
  { columns, choices }: Pick<PackProgram, "columns" | "choices">,
  brought: readonly { readonly column: number; readonly each: number }[],
): number {
  const most = new Map<string, number>();
  for (const { column, each } of brought) {
    const owner = ownerOf(columns[column]!);
    most.set(owner, Math.max(most.get(owner) ?? 0, mostItems(choices, columns[column]!) * each));
  }
  return [...most.values()].reduce((sum, count) => sum + count, 0);
}
