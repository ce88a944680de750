/** Where one tenant of a stack lies in a block of a power-of-two depth. */
export interface StackPlace {
  readonly word: number;
  readonly inverted: boolean;
}

const powerAbove = (rows: number) => 2 ** Math.ceil(Math.log2(rows));

/**
 * Places tenants of the given row counts in one block of `depth` words behind one port, so that no address adder is
 * needed: each starts at a multiple of its row count rounded up to a power of two, or has its address inverted and
 * ends at such a multiple. Returns the places in the order given and the words from 0 up to the highest in use; null
 * where they do not fit. Two tenants fit whenever their rows do; more go by falling size.
 */
export function placeStack(
  rows: readonly number[],
  depth: number,
): { readonly places: readonly StackPlace[]; readonly height: number } | null {
  const order = rows.map((_, index) => index).sort((a, b) => rows[b]! - rows[a]! || a - b);
  const places: StackPlace[] = Array(rows.length);
  let next = 0;
  let height = 0;
  order.forEach((index, position) => {
    const size = powerAbove(rows[index]!);
    const last = position === order.length - 1;
    const room = last ? powerAbove(height + rows[index]!) : 0;
    if (last && position > 0 && room <= depth && room < next + rows[index]!) {
      places[index] = { word: room - 1, inverted: true };
      height = room;
    } else {
      places[index] = { word: next, inverted: false };
      height = next + rows[index]!;
      next += size;
    }
  });
  return height <= depth ? { places, height } : null;
}
