import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { type BlockPicture, blockCount, blockPictures } from "../../report/block-picture.js";
import type { PageStart } from "../../report/page.js";
import { counted, figure } from "../../report/text.js";
import type { Answer, Advice as Found } from "../worker/messages.js";
import { BlockGlyph, bitArea, HUES } from "./block-glyph.js";
import type { Explorer, Shown } from "./explorer.js";
import { Packer } from "./packer.js";

type Row = Found["rows"][number];

const signed = (value: number) =>
  value === 0 ? "0" : `${value > 0 ? "+" : "−"}${figure(Math.abs(value), 1)}`;

/** What a change comes to: blocks before and after, and what differs of the rest. */
function Figures({ row, before }: { readonly row: Row; readonly before: Found["before"] }) {
  const pools = Object.entries(row.saved).map(([pool, blocks]) => {
    const was = before?.blocks[pool] ?? 0;
    return `${figure(was, 1)} → ${figure(was - blocks, 1)} ${pool}`;
  });
  const rest = [
    [row.moreLuts, "LUTs"],
    [row.moreRegisters, "registers"],
    [row.moreBits, "bits of capacity"],
  ] as const;
  const differing = rest.filter(([value]) => value !== 0).map(([value, unit]) => `${signed(value)} ${unit}`);
  return (
    <p class="figures">
      <span>{pools.length > 0 ? pools.join(", ") : "no more blocks"}</span>
      {differing.map((words) => (
        <span key={words}>{words}</span>
      ))}
    </p>
  );
}

const EFFECTS: Readonly<Record<Row["effect"], string>> = {
  same: "the architecture stays as it is",
  size: "capacity differs",
  behaviour: "behaviour may differ",
};

/** Blocks that are in one plan and not in the other, in words that say what lies in them. */
function MiniMap({
  shown,
  other,
  title,
}: {
  readonly shown: Shown;
  readonly other: Shown;
  readonly title: string;
}) {
  const pictures = useMemo(() => blockPictures(shown.plan, shown.device), [shown]);
  const others = useMemo(() => {
    const keys = blockPictures(other.plan, other.device).map((picture) => likeness(picture));
    return new Set(keys);
  }, [other]);
  const hueOf = useMemo(() => {
    const names = [
      ...new Set([...shown.plan.memories, ...other.plan.memories].map(({ name }) => name)),
    ].sort();
    return new Map(names.map((name, i) => [name, i % HUES]));
  }, [shown, other]);
  const differing = pictures.filter((picture) => !others.has(likeness(picture)));
  const same = pictures.filter((picture) => others.has(likeness(picture)));
  return (
    <figure class="mini">
      <figcaption>
        <strong>{title}</strong>: {counted(blockCount(pictures), "block")}
      </figcaption>
      <div
        class="glyphs"
        role="img"
        aria-label={`${title}: ${counted(blockCount(differing), "block")} that differ`}
      >
        {differing.map((picture) => (
          <span key={picture.block.id} class="glyph">
            <BlockGlyph picture={picture} area={bitArea(shown.device) * 0.7} hueOf={hueOf} selected={null} />
            <span class="caption">
              ×{figure(picture.count)} {picture.block.tenants[0]!.memory}
            </span>
          </span>
        ))}
      </div>
      <p class="faint">and {counted(blockCount(same), "block")} as in the other</p>
    </figure>
  );
}

function likeness({ block, count, patches }: BlockPicture): string {
  return JSON.stringify([
    block.kind,
    count,
    block.tenants.map(({ memory, shape }) => [memory, shape]),
    patches,
  ]);
}

/** Changes worth making: each with its figures, before and after side by side, and a button that makes it. */
export function Advice({ start, explorer }: { readonly start: PageStart; readonly explorer: Explorer }) {
  const { text, device, shown, stale } = explorer.state;
  const [allow, setAllow] = useState<readonly ("size" | "behaviour")[]>([]);
  const [busy, setBusy] = useState(false);
  const [found, setFound] = useState<{
    readonly text: string;
    readonly device: string | null;
    readonly advice: Found;
  } | null>(null);
  const [open, setOpen] = useState<number | null>(null);
  const [after, setAfter] = useState<Shown | null>(null);
  const [before, setBefore] = useState<Shown>(shown);
  const asked = useRef({ text, device });
  const packer = useMemo(
    () =>
      new Packer(start, (answer: Answer) => {
        if (answer.kind === "pack") return setAfter(answer.result);
        setBusy(false);
        const advice: Found =
          answer.kind === "reshape"
            ? answer
            : { kind: "reshape", id: 0, rows: [], before: null, problem: answer.message };
        setFound({ ...asked.current, advice });
      }),
    [start],
  );
  useEffect(() => () => packer.stop(), [packer]);
  const look = () => {
    asked.current = { text, device };
    setBusy(true);
    setFound(null);
    setOpen(null);
    setBefore(shown);
    packer.run({ kind: "reshape", text, device, allow, file: start.file, deadlineMs: start.deadlineMs });
  };
  const compare = (row: Row) => {
    if (found === null) return;
    setAfter(null);
    setOpen(open === row.number ? null : row.number);
    const { text: base, device: on } = found;
    packer.run({
      kind: "pack",
      text: base,
      device: on,
      edits: row.edits,
      file: start.file,
      deadlineMs: start.deadlineMs,
    });
  };
  const toggle = (effect: "size" | "behaviour") =>
    setAllow(allow.includes(effect) ? allow.filter((each) => each !== effect) : [...allow, effect]);
  const outdated = found !== null && (found.text !== text || found.device !== device);
  return (
    <section class="advice" aria-labelledby="advice-title">
      <div class="head">
        <h2 id="advice-title" tabIndex={-1}>
          Changes worth making
        </h2>
        <label>
          <input type="checkbox" checked={allow.includes("size")} onChange={() => toggle("size")} /> also
          other sizes
        </label>
        <label>
          <input type="checkbox" checked={allow.includes("behaviour")} onChange={() => toggle("behaviour")} />{" "}
          also other behaviour
        </label>
        <button type="button" disabled={stale || busy} onClick={look}>
          Look for changes
        </button>
        {busy && (
          <button
            type="button"
            onClick={() => {
              packer.stop();
              setBusy(false);
            }}
          >
            Stop
          </button>
        )}
      </div>
      <p role="status" class="faint">
        {busy
          ? "Trying each change and packing the whole design again …"
          : found === null
            ? "Each change is made in the design, and the whole of it packed again. This takes a few seconds."
            : (found.advice.problem ??
              (found.advice.rows.length === 0
                ? "No change saves a block."
                : `${counted(found.advice.rows.length, "change")}${outdated ? " for the design as it was when you looked" : ""}.`))}
      </p>
      <ol class="rows">
        {found?.advice.rows.map((row) => (
          <li key={row.number} data-row={row.number}>
            <div class="row">
              <p>
                <strong>{row.title}</strong>
                <span class="faint">
                  {EFFECTS[row.effect]}
                  {row.needs.length > 0 ? `; needs ${row.needs.join(", ")}` : ""}
                </span>
                {row.confirm !== null && <span>Has to be true: {row.confirm}</span>}
              </p>
              <Figures row={row} before={found.advice.before} />
              <div class="group">
                <button type="button" aria-expanded={open === row.number} onClick={() => compare(row)}>
                  Compare
                </button>
                <button
                  type="button"
                  onClick={() => (outdated ? null : explorer.edit(row.edits))}
                  disabled={outdated}
                >
                  Apply
                </button>
              </div>
            </div>
            {open === row.number && (
              <div class="pair">
                {after === null ? (
                  <p class="faint">Packing …</p>
                ) : (
                  <>
                    <MiniMap shown={before} other={after} title="Before" />
                    <MiniMap shown={after} other={before} title="After" />
                  </>
                )}
              </div>
            )}
          </li>
        ))}
      </ol>
    </section>
  );
}
