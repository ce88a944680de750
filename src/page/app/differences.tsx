import { useState } from "preact/hooks";
import { figure } from "../../report/text.js";
import { changedMemories, changedTotals } from "./difference.js";
import type { Explorer } from "./explorer.js";
import { Scroll } from "./scroll.js";

const signed = (before: number, after: number) =>
  `${after > before ? "+" : "−"}${figure(Math.abs(after - before), 1)}`;

/** What the last change, or all changes since the page was opened, did to the blocks, and which memories did it. */
export function Differences({ explorer: { state, opened } }: { readonly explorer: Explorer }) {
  const [since, setSince] = useState<"step" | "start">("step");
  if (state.before === null) return null;
  const before = (since === "step" ? state.before : opened).plan;
  const after = state.shown.plan;
  const totals = changedTotals(before, after);
  const memories = changedMemories(before, after);
  return (
    <section class="differences" aria-labelledby="differences-title">
      <div class="head">
        <h2 id="differences-title" tabIndex={-1}>
          What changed
        </h2>
        <label>
          <span>since</span>
          <select
            value={since}
            onChange={({ currentTarget }) => setSince(currentTarget.value as typeof since)}
          >
            <option value="step">the last step</option>
            <option value="start">the page was opened</option>
          </select>
        </label>
        {state.milliseconds !== null && (
          <p class="faint" data-milliseconds={Math.round(state.milliseconds)}>
            packed in {figure(state.milliseconds)} ms
          </p>
        )}
      </div>
      <p>
        {before.device !== after.device ? `${before.device} → ${after.device}. ` : ""}
        {totals.length === 0
          ? "As many blocks, LUTs and registers as before."
          : totals.map((each) => (
              <span key={each.name} class="delta">
                <strong>{signed(each.before, each.after)}</strong> {each.name}{" "}
                <span class="faint">
                  {figure(each.before, 1)} → {figure(each.after, 1)}
                </span>
              </span>
            ))}
      </p>
      {memories.length > 0 && (
        <Scroll label="Changed memories">
          <table>
            <thead>
              <tr>
                <th scope="col">Memory</th>
                <th scope="col" class="number">
                  Blocks
                </th>
                <th scope="col">Why</th>
              </tr>
            </thead>
            <tbody>
              {memories.slice(0, 30).map((memory) => (
                <tr key={memory.name}>
                  <th scope="row">{memory.name}</th>
                  <td class="number">
                    {figure(memory.before, 1)} → {figure(memory.after, 1)}
                  </td>
                  <td>{memory.why}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scroll>
      )}
      {memories.length > 30 && <p class="faint">And {figure(memories.length - 30)} memories more.</p>}
    </section>
  );
}
