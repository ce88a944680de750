import { figure } from "../../model/words.js";

/** `12 words instead of 8`: what is counted stands between the two. */
export function stepText(noun: string, from: number, to: number): string {
  return `${figure(to)} ${noun} instead of ${figure(from)}`;
}
