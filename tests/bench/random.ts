import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";

/** Draws from a seed: the same seed gives the same draws on every machine. */
export interface Random {
  /** A whole number from `min` to `max`, both included. */
  int(min: number, max: number): number;
  /** A whole number from `min` to `max` whose logarithm is evenly spread. */
  spread(min: number, max: number): number;
  pick<T>(list: readonly T[]): T;
  /** True in `percent` of 100 draws. */
  chance(percent: number): boolean;
}

/** A new sequence of draws. */
export function randomFrom(seed: number): Random {
  const generator = xoroshiro128plus(seed);
  const int = (min: number, max: number) => uniformInt(generator, min, max);
  return {
    int,
    spread: (min, max) =>
      Math.round(Math.exp(Math.log(min) + (Math.log(max / min) * int(0, 1_000_000)) / 1_000_000)),
    pick: (list) => list[int(0, list.length - 1)]!,
    chance: (percent) => int(1, 100) <= percent,
  };
}
