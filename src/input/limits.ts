/** Most words of one memory. */
export const MAX_DEPTH = 2 ** 30;
/** Most bits in a word. */
export const MAX_WIDTH = 65_536;
/** Most identical copies of a memory or structure. */
export const MAX_INSTANCES = 1_000_000;
/** Most memories of a design, after its structures are turned into memories. */
export const MAX_MEMORIES = 10_000;
/** Most bits of a whole design, so that sums of bits stay exact in a double with room for copies. */
export const MAX_DESIGN_BITS = 2 ** 48;
/** Most characters of a path in a design file. */
export const MAX_PATH = 1024;
/** Most characters of a name. */
export const MAX_NAME = 64;
