/**
 * The largest number of steps, up to `most`, that hold; 0 where one step does not. `holds` has to be true up to some
 * number and false beyond it. It doubles its stride until a number does not hold, then halves what is left.
 */
export async function reach(holds: (steps: number) => Promise<boolean>, most: number): Promise<number> {
  let held = 0;
  let failed = most + 1;
  for (let stride = 1; held + stride < failed; stride *= 2) {
    if (await holds(held + stride)) held += stride;
    else failed = held + stride;
  }
  while (failed - held > 1) {
    const middle = Math.floor((held + failed) / 2);
    if (await holds(middle)) held = middle;
    else failed = middle;
  }
  return held;
}
