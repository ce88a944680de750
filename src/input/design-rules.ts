import { requestBits } from "../model/index.js";
import { figure } from "../model/words.js";
import { MAX_DEPTH, MAX_DESIGN_BITS, MAX_INSTANCES, MAX_MEMORIES, MAX_WIDTH } from "./limits.js";
import { type Located, type Problem, problem } from "./located.js";

/** Sizes beyond the limits; an entry written by hand was checked with its form, so these come from structures. */
function sizeRules({ request, at }: Located): Problem[] {
  const limits = [
    ["depth", request.depth, MAX_DEPTH],
    ["width", request.width, MAX_WIDTH],
    ["instances", request.instances, MAX_INSTANCES],
  ] as const;
  return limits
    .filter(([, value, most]) => value > most)
    .map(([key, value, most]) => {
      const words = `${request.name}: ${key}: expected at most ${figure(most)}, found ${figure(value)}`;
      return problem("over-limit", at(key), words);
    });
}

/** Limits on the design as a whole; each is reported once, where it is passed. */
function totalRules(requests: readonly Located[]): Problem[] {
  const problems: Problem[] = [];
  const extra = requests[MAX_MEMORIES];
  if (extra !== undefined) {
    const words = `expected at most ${figure(MAX_MEMORIES)} memories, found ${figure(requests.length)}`;
    problems.push(problem("over-limit", extra.at("name"), words));
  }
  let bits = 0;
  for (const { request, at } of requests) {
    bits += requestBits(request) * request.instances;
    if (bits <= MAX_DESIGN_BITS) continue;
    const words = `expected a design of at most ${figure(MAX_DESIGN_BITS)} bits, found more from here on`;
    problems.push(problem("over-limit", at("name"), words));
    break;
  }
  return problems;
}

/** Limits that requests pass, one by one and together. */
export function limitRules(requests: readonly Located[]): Problem[] {
  return [...requests.flatMap(sizeRules), ...totalRules(requests)];
}
