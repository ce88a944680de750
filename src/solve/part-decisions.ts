import { type Choice, type Measure, nothing, oneOf, plus, unbeaten } from "./choice.js";
import { cheapest, configPrice, type Part } from "./parts.js";

/** The choices of a part; `complete` where none that counts was dropped. */
export interface Decisions {
  readonly choices: Choice[];
  readonly complete: boolean;
}

function shortened(choices: Choice[], most: number): Decisions {
  return {
    choices: choices.length > most ? choices.slice(0, most) : choices,
    complete: choices.length <= most,
  };
}

/** The ways to give `items` like items one of the options each, within `slack` of the cheapest, at most `most` of them. */
function multisets(
  measure: Measure,
  options: readonly Choice[],
  items: number,
  slack: number,
  most: number,
): Decisions {
  if (items === 1) return shortened(unbeaten(measure, [...options]), most);
  let complete = true;
  const sorted = [...options].sort((a, b) => a.above - b.above);
  /** Choices so far, by the items that are left. */
  let open: Choice[][] = Array.from({ length: items + 1 }, () => []);
  open[items] = [nothing(measure)];
  for (const [index, option] of sorted.entries()) {
    const next: Choice[][] = Array.from({ length: items + 1 }, () => []);
    const last = index === sorted.length - 1;
    open.forEach((choices, left) => {
      for (const choice of choices) {
        for (let count = last ? left : 0; count <= left; count++) {
          const above = choice.above + count * option.above;
          const rest = last ? 0 : (left - count) * sorted[index + 1]!.above;
          if (choice.above + count * option.above > slack) break;
          if (above + rest > slack) continue;
          next[left - count]!.push(count === 0 ? choice : plus(choice, option, count));
        }
      }
    });
    open = next.map((choices) => {
      const kept = shortened(unbeaten(measure, choices), most);
      complete &&= kept.complete;
      return kept.choices;
    });
  }
  return { choices: open[0]!, complete };
}

/** The choices of a part whose price is at most `slack` above its cheapest, the cheapest first, at most `most` of them. */
export function decisionsWithin(
  measure: Measure,
  part: Part,
  costs: Float64Array,
  slack: number,
  most: number,
): Decisions {
  const best = part.requests.map((list) => cheapest(list, costs));
  const each = (index: number, room: number): Choice[] =>
    unbeaten(
      measure,
      part.requests[index]!.flatMap((column) => {
        const above = costs[column]! - costs[best[index]!]!;
        return above > room ? [] : [oneOf(measure, column, above)];
      }),
    );
  if (part.configs === null) return multisets(measure, each(0, slack), part.items, slack, most);
  const totals = part.configs.map((config) => configPrice(config, best, costs));
  const least = Math.min(...totals);
  let complete = true;
  const options: Choice[] = [];
  for (const [index, { column, alone }] of part.configs.entries()) {
    const above = totals[index]! - least;
    if (above > slack) continue;
    let partial: Choice[] = [oneOf(measure, column, above)];
    for (const [request, members] of alone.entries()) {
      if (members === 0) continue;
      const room = slack - above;
      const own = multisets(measure, each(request, room), members, room, most);
      const longer: Choice[] = [];
      for (const head of partial) {
        for (const tail of own.choices) {
          if (head.above + tail.above <= slack) longer.push(plus(head, tail));
        }
      }
      const kept = shortened(unbeaten(measure, longer), most);
      complete &&= own.complete && kept.complete;
      partial = kept.choices;
    }
    options.push(...partial);
  }
  const joint = multisets(measure, unbeaten(measure, options), part.items, slack, most);
  return { choices: joint.choices, complete: complete && joint.complete };
}
