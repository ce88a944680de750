const primes: number[] = [];
const marks: number[] = [];

/**
 * A number for each option such that sums of them tell lists of columns apart: whole numbers below 2^40 from the fractions of
 * roots of primes. Sums of up to some thousands are exact, and equal for equal lists only. There may be more than asked for.
 */
export function columnMarks(options: number): readonly number[] {
  for (let number = 2; primes.length < options; number++) {
    if (primes.some((prime) => number % prime === 0)) continue;
    primes.push(number);
    marks.push(Math.floor(2 ** 40 * (Math.sqrt(number) % 1)));
  }
  return marks;
}
