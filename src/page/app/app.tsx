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
      <main>
        <Summary explorer={explorer} />
        <div class="columns">
          <div class="side">
            <Controls explorer={explorer} selected={lit} />
            <Editor explorer={explorer} file={start.file} />
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
