import { figure, listed, percent } from "../../report/text.js";
import type { Explorer, State } from "./explorer.js";

interface Use {
  readonly name: string;
  readonly used: number;
  readonly available: number;
}

function verdict(
  { shown: { plan }, stale }: State,
  uses: readonly Use[],
): { readonly words: string; readonly tone: string } {
  if (stale)
    return { words: "The text has errors. Shown is the last design that could be packed.", tone: "bad" };
  const { value, bound, proven, nothingFits } = plan.objective;
  const over = uses
    .filter(({ used, available }) => used > available)
    .map(({ name, used, available }) => `${figure(used - available, 1)} ${name}`);
  if (plan.status === "over-budget" || over.length > 0) {
    const least = proven
      ? " Proven: no plan overruns less."
      : nothingFits
        ? " Proven: no plan fits."
        : " Not proven: one that fits may exist.";
    return { words: `Does not fit: ${listed(over)} too many.${least}`, tone: "bad" };
  }
  if (proven) return { words: "Fits. Proven: no plan takes less.", tone: "good" };
  if (value <= bound) return { words: "Fits. Fewest blocks: proven; least logic is not.", tone: "good" };
  return {
    words: `Fits. Not proven least: ${figure(value, 3)} against a bound of ${figure(bound, 3)}.`,
    tone: "good",
  };
}

/** Use of each pool and of the logic, and whether the design fits. */
export function Summary({ explorer: { state } }: { readonly explorer: Explorer }) {
  const { totals, device } = state.shown.plan;
  const pools = Object.entries(totals.available).filter(
    ([name, available]) => available > 0 || (totals.blocks[name] ?? 0) > 0,
  );
  const rows = [
    ...pools.map(([name, available]) => ({
      name,
      used: totals.blocks[name] ?? 0,
      available,
      unit: "blocks",
    })),
    { name: "LUTs", used: totals.luts, available: totals.lutsAvailable, unit: "" },
    ...(totals.lutMemoryAvailable === null
      ? []
      : [{ name: "LUTs as memory", used: totals.lutMemory, available: totals.lutMemoryAvailable, unit: "" }]),
  ];
  const { words, tone } = verdict(state, rows);
  const empty =
    totals.blockBits === 0
      ? "No block is in use."
      : `${percent(totals.requestedBits, totals.blockBits)} of the bits in use hold something.`;
  return (
    <section
      class={`summary ${state.busy ? "busy" : ""}`}
      aria-labelledby="summary-title"
      data-steps={state.steps}
    >
      <h2 id="summary-title" tabIndex={-1}>
        On {device}
      </h2>
      <p class={`verdict ${tone}`} role="status">
        <strong>{state.busy ? "Packing …" : words}</strong> <span>{state.busy ? "" : empty}</span>
      </p>
      {state.fault !== null && (
        <p class="verdict bad" role="alert">
          A fault of ramtailor: {state.fault}
        </p>
      )}
      <ul class="meters">
        {rows.map(({ name, used, available, unit }) => (
          <li key={name} class={used > available ? "over" : ""}>
            <span class="name">{name}</span>
            <span class="count" data-pool={name} data-used={used}>
              <strong>{figure(used, 1)}</strong> of {figure(available)} {unit}
            </span>
            <span class="meter" aria-hidden="true">
              <span style={{ width: `${Math.min(100, (100 * used) / Math.max(1, available))}%` }} />
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
