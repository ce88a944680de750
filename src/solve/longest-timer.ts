/** Milliseconds that a timer has at most: with more it fires at once. */
export const LONGEST_TIMER = 2 ** 31 - 1;
