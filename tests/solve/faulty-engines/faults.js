/** Faults of the engine beside this file. */
export const FAULTS = [
  "breaks a row",
  "breaks an upper limit",
  "is negative",
  "is fractional",
  "is not a number",
  "is too short",
  "misstates its value",
  "has a bound above its value",
  "calls a worse answer optimal",
  "none",
  "throws",
  "exits",
  "never returns",
  "finds an answer, then never returns",
];

/** The upper limit that orders the first of them, the next one the second and so on; none of them is ever reached. */
export const FIRST_LIMIT = 1000;
