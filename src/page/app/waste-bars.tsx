import type { Device, Plan, PlanMemory, Waste } from "../../model/index.js";
import { figure, percent, shortBits } from "../../report/text.js";
import { worstMemories } from "../../report/why.js";
import { Scroll } from "./scroll.js";

interface Props {
  readonly plan: Plan;
  readonly device: Device;
  readonly hueOf: ReadonlyMap<string, number>;
  readonly selected: string | null;
  readonly select: (memory: string | null) => void;
}

const PARTS: readonly (readonly [keyof Waste, string])[] = [
  ["replication", "copies"],
  ["widthPadding", "width"],
  ["depthPadding", "depth"],
  ["unreachable", "out of reach"],
];

interface BarProps {
  readonly requested: number;
  readonly waste: Waste;
  readonly wasted: number;
  readonly full: number;
  readonly hue: number;
}

function Bar({ requested, waste, wasted, full, hue }: BarProps) {
  let x = 0;
  const part = (bits: number, classes: string) => {
    const box = { x: `${(100 * x) / full}%`, width: `${(100 * bits) / full}%`, y: 0, height: "100%" };
    x += bits;
    return bits === 0 ? null : <rect key={classes} class={classes} {...box} />;
  };
  const words = PARTS.filter(([key]) => waste[key] > 0).map(([key, name]) => `${name} ${figure(waste[key])}`);
  const label = `${figure(requested)} bits asked for, ${figure(wasted)} wasted${words.length > 0 ? `: ${words.join(", ")}` : ""}`;
  return (
    <svg class="bar" role="img" aria-label={label}>
      {part(requested, `hue hue${hue}`)}
      {PARTS.map(([key]) => part(waste[key], `fill-${key === "replication" ? "copies" : key}`))}
    </svg>
  );
}

/** For each memory the way from the bits asked for to the bits of its blocks, most waste first. */
export function WasteBars({ plan, device, hueOf, selected, select }: Props) {
  const { totals } = plan;
  const memories = plan.memories
    .filter(({ requestedBits, wastedBits }) => requestedBits + wastedBits > 0)
    .sort((a, b) => b.wastedBits - a.wastedBits || b.requestedBits - a.requestedBits);
  const held = (memory: PlanMemory) => memory.requestedBits + memory.wastedBits;
  const full = Math.max(1, ...memories.map(held));
  const onDevice = device.pools.reduce((sum, { name, blocks, unitsPerBlock }) => {
    const kind = device.blocks.find(({ pool }) => pool === name);
    return sum + (kind === undefined ? 0 : blocks * unitsPerBlock * (kind.bits / kind.units));
  }, 0);
  return (
    <section class="waste" aria-labelledby="waste-title">
      <div class="head">
        <h2 id="waste-title" tabIndex={-1}>
          Where the bits go
        </h2>
        <p class="faint">Bits asked for, then what is wasted and why; most waste first.</p>
      </div>
      <Scroll label="Waste by memory">
        <table>
          <thead>
            <tr>
              <th scope="col">Memory</th>
              <th scope="col" class="wide">
                Bits
              </th>
              <th scope="col" class="number">
                Asked
              </th>
              <th scope="col" class="number">
                Wasted
              </th>
              {PARTS.map(([key, name]) => (
                <th key={key} scope="col" class="number">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {memories.map((memory) => (
              <tr key={memory.name} class={selected === memory.name ? "lit" : ""}>
                <th scope="row">
                  <button
                    type="button"
                    class="link"
                    aria-pressed={selected === memory.name}
                    onClick={() => select(selected === memory.name ? null : memory.name)}
                  >
                    {memory.name}
                  </button>
                </th>
                <td class="wide">
                  <Bar
                    requested={memory.requestedBits}
                    waste={memory.waste}
                    wasted={memory.wastedBits}
                    full={full}
                    hue={hueOf.get(memory.name) ?? 0}
                  />
                </td>
                <td class="number">{shortBits(memory.requestedBits)}</td>
                <td class="number">{percent(memory.wastedBits, held(memory))}</td>
                {PARTS.map(([key]) => (
                  <td key={key} class="number">
                    {memory.waste[key] === 0 ? (
                      <span class="faint">·</span>
                    ) : (
                      percent(memory.waste[key], held(memory))
                    )}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row">All blocks in use</th>
              <td class="wide">
                {totals.blockBits > 0 && (
                  <Bar
                    requested={totals.requestedBits}
                    waste={totals.waste}
                    wasted={totals.wastedBits}
                    full={totals.blockBits}
                    hue={0}
                  />
                )}
              </td>
              <td class="number">{shortBits(totals.requestedBits)}</td>
              <td class="number">{percent(totals.wastedBits, totals.blockBits)}</td>
              {PARTS.map(([key]) => (
                <td key={key} class="number">
                  {percent(totals.waste[key], totals.blockBits)}
                </td>
              ))}
            </tr>
          </tfoot>
        </table>
      </Scroll>
      <p>
        Blocks in use have {shortBits(totals.blockBits)} bits of the {shortBits(onDevice)} on the device (
        {percent(totals.blockBits, onDevice)}); {shortBits(totals.logicBits)} more are held outside blocks. K
        = 1,024.
      </p>
      {totals.wastedBits > 0 && (
        <ol class="reasons">
          {worstMemories(plan).map(({ memory, sentence }) => (
            <li key={memory}>{sentence}</li>
          ))}
        </ol>
      )}
    </section>
  );
}
