import { useMemo, useState } from "preact/hooks";
import { blockPictures } from "../../report/block-picture.js";
import type { PageStart } from "../../report/page.js";
import { Advice } from "./advice.js";
import { HUES, Patterns } from "./block-glyph.js";
import { Blocks } from "./blocks.js";
import { Controls } from "./controls.js";
import { Differences } from "./differences.js";
import { Editor } from "./editor.js";
import { useExplorer } from "./explorer.js";
import { Header } from "./header.js";
import { Summary } from "./summary.js";
import { SweepPlot } from "./sweep-plot.js";
import { WasteBars } from "./waste-bars.js";

const PARTS = [
  ["blocks-title", "Blocks"],
  ["waste-title", "Bits"],
  ["editor-title", "Text"],
  ["advice-title", "Changes"],
  ["sweep-title", "Sweep"],
  ["controls-title", "Geometry"],
] as const;

/** Goes to a part and leaves the address alone: it holds the design. */
function jump(event: Event, id: string): void {
  event.preventDefault();
  const title = document.getElementById(id);
  title?.scrollIntoView();
  title?.focus({ preventScroll: true });
}

/** The whole page. */
export function App({ start }: { readonly start: PageStart }) {
  const explorer = useExplorer(start);
  const { state } = explorer;
  const { plan, device } = state.shown;
  const [selected, select] = useState<string | null>(null);
  const pictures = useMemo(() => blockPictures(plan, device), [plan, device]);
  const hueOf = useMemo(() => new Map(plan.memories.map(({ name }, i) => [name, i % HUES])), [plan]);
  const lit = plan.memories.some(({ name }) => name === selected) ? selected : null;
  return (
    <>
      <Patterns />
      <Header start={start} explorer={explorer} />
      <nav class="jump" aria-label="Parts of the page">
        {PARTS.map(([id, name]) => (
          <a key={id} href={`#${id}`} onClick={(event) => jump(event, id)}>
            {name}
          </a>
        ))}
      </nav>
      <main>
        <Summary explorer={explorer} />
        <div class="columns">
          <div class="side">
            <Controls explorer={explorer} selected={lit} />
          </div>
          <div class="views">
            <Differences explorer={explorer} />
            <Blocks
              plan={plan}
              device={device}
              pictures={pictures}
              hueOf={hueOf}
              selected={lit}
              select={select}
            />
            <WasteBars plan={plan} device={device} hueOf={hueOf} selected={lit} select={select} />
            <Editor explorer={explorer} file={start.file} />
            <Advice start={start} explorer={explorer} />
            <SweepPlot start={start} explorer={explorer} />
          </div>
        </div>
      </main>
      <footer>
        <p>
          These figures are estimates before place-and-route: the vendor's handbook and the timing report of
          the finished design decide. A safety-related design needs the usual review by qualified people.
        </p>
      </footer>
    </>
  );
}
