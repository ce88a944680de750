/** Milliseconds until a time, as `Date.now()` gives it; one at least, as limits of a run ask for it. */
export function msUntil(stopAt: number): number {
  return Math.max(1, stopAt - Date.now());
}
