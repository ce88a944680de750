import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import { type Device, type Plan, portsName, type Tenant } from "../../model/index.js";
import { type BlockPicture, blockCount } from "../../report/block-picture.js";
import { counted, figure, listed } from "../../report/text.js";
import { AllBlocks, type DrawingProps } from "./all-blocks.js";
import { BlockGlyph, bitArea } from "./block-glyph.js";
import { Legend } from "./legend.js";

interface Props {
  readonly plan: Plan;
  readonly device: Device;
  readonly pictures: readonly BlockPicture[];
  readonly hueOf: ReadonlyMap<string, number>;
  readonly selected: string | null;
  readonly select: (memory: string | null) => void;
}

const interval = ([first, last]: readonly [number, number]) =>
  first === last ? `${figure(first)}` : `${figure(first)} to ${figure(last)}`;

function names(picture: BlockPicture): string[] {
  return [...new Set(picture.block.tenants.map(({ memory }) => memory))];
}

/** What lies in a block, in one sentence. */
export function inWords(picture: BlockPicture): string {
  const { block, count } = picture;
  const lies = block.tenants.map(
    ({ memory, rows, bits, ports }) =>
      `${memory} rows ${interval(rows)}, bits ${interval(bits)}, port ${ports.join(" and ")}`,
  );
  return `${counted(count, "block")} ${block.tenants[0]!.shape}: ${lies.join("; ")}`;
}

function TenantLine({
  tenant,
  count,
  plan,
  select,
}: {
  readonly tenant: Tenant;
  readonly count: number;
  readonly plan: Plan;
  readonly select: Props["select"];
}) {
  const memory = plan.memories.find(({ name }) => name === tenant.memory);
  const more = [
    count > 1 ? `instance ${tenant.instance} and further` : `instance ${tenant.instance}`,
    ...(tenant.copy > 0 ? [`copy ${tenant.copy} for ports`] : []),
    ...(tenant.lane !== null ? [`write lane ${tenant.lane}`] : []),
    ...(tenant.inverted ? ["address inverted"] : []),
  ];
  return (
    <li>
      <button type="button" class="link" onClick={() => select(tenant.memory)}>
        {tenant.memory}
      </button>
      <span>
        rows {interval(tenant.rows)} · bits {interval(tenant.bits)} · port {listed(tenant.ports)} ·{" "}
        {tenant.shape}
      </span>
      <span class="faint">
        {more.join(" · ")}
        {memory === undefined
          ? ""
          : ` · of ${figure(memory.depth)} × ${figure(memory.width)}, ${portsName(memory.ports)}`}
      </span>
    </li>
  );
}

/** What the pointer or the keyboard is on. */
function Details({
  picture,
  plan,
  select,
}: {
  readonly picture: BlockPicture | null;
  readonly plan: Plan;
  readonly select: Props["select"];
}) {
  if (picture === null) {
    return (
      <div class="details">
        <p class="faint">
          Point at a block, or move to it with Tab and the arrow keys, to see what lies where. Choosing a
          memory lights up all of its blocks.
        </p>
      </div>
    );
  }
  const { block, count } = picture;
  return (
    <div class="details">
      <p>
        <strong>{counted(count, "block")}</strong> {block.kind}, {block.arrangement.replace("-", " ")} port
        {block.pump > 1 ? `, at ${block.pump} × clock` : ""}
        <span class="faint"> · {count > 1 ? `${block.id} and like it` : block.id}</span>
      </p>
      <ul>
        {block.tenants.map((tenant, i) => (
          <TenantLine
            key={`${tenant.memory} ${i}`}
            tenant={tenant}
            count={count}
            plan={plan}
            select={select}
          />
        ))}
      </ul>
    </div>
  );
}

/** Every block of the plan: those that look alike folded into one, or each by itself. */
export function Blocks({ plan, device, pictures, hueOf, selected, select }: Props) {
  const [every, setEvery] = useState(false);
  const [at, setAt] = useState<BlockPicture | null>(null);
  const area = bitArea(device);
  const total = blockCount(pictures);
  const halves = pictures.some(({ size }) => size < 1) ? " (half blocks among them)" : "";
  const shown = at !== null && pictures.includes(at) ? at : null;
  const Drawing = every ? AllBlocks : Folded;
  return (
    <section class="blocks" aria-labelledby="blocks-title">
      <div class="head">
        <h2 id="blocks-title" tabIndex={-1}>
          Block map
        </h2>
        <p class="faint" data-block-total={total}>
          {counted(total, "block")} in use{halves}
          {every ? "" : `, ${figure(pictures.length)} that differ`}
        </p>
        <fieldset class="switch">
          <legend class="hidden">Show</legend>
          <label>
            <input type="radio" name="every" checked={!every} onChange={() => setEvery(false)} /> alike folded
          </label>
          <label>
            <input type="radio" name="every" checked={every} onChange={() => setEvery(true)} /> every block
          </label>
        </fieldset>
        <label class="pick">
          <span>Light up</span>
          <select
            value={selected ?? ""}
            onChange={({ currentTarget }) => select(currentTarget.value || null)}
          >
            <option value="">nothing</option>
            {plan.memories.map(({ name }) => (
              <option key={name} value={name}>
                {name}
              </option>
            ))}
          </select>
        </label>
      </div>
      <Legend />
      <Drawing
        pictures={pictures}
        area={area}
        hueOf={hueOf}
        selected={selected}
        select={select}
        show={setAt}
      />
      <Details picture={shown} plan={plan} select={select} />
      <OutsideBlocks plan={plan} selected={selected} select={select} />
    </section>
  );
}

function OutsideBlocks({ plan, selected, select }: Pick<Props, "plan" | "selected" | "select">) {
  const outside = plan.memories.filter(({ layouts }) => layouts.every(({ tiles }) => tiles.length === 0));
  if (outside.length === 0) return null;
  return (
    <p class="outside">
      <span class="faint">Outside blocks:</span>{" "}
      {outside.map(({ name, layouts }) => (
        <button
          key={name}
          type="button"
          class="chip"
          aria-pressed={selected === name}
          onClick={() => select(selected === name ? null : name)}
        >
          {name} <span class="faint">{layouts[0]?.home === "LUT" ? "LUT memory" : "registers"}</span>
        </button>
      ))}
    </p>
  );
}

/** Pictures drawn at first; a design of very many memories has more, which a button adds. */
const MOST = 400;

const STEPS: Readonly<Record<string, number>> = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

/** Alike blocks as one button each; Tab reaches the group, arrows move in it, Enter lights up its memories in turn. */
export function Folded({ pictures: every, area, hueOf, selected, select, show }: DrawingProps) {
  const [whole, setWhole] = useState(false);
  const pictures = useMemo(() => (whole ? every : every.slice(0, MOST)), [every, whole]);
  const [current, setCurrent] = useState(0);
  const buttons = useRef<(HTMLButtonElement | null)[]>([]);
  const pools = useMemo(() => [...new Set(pictures.map(({ pool }) => pool))], [pictures]);
  useEffect(() => setCurrent((index) => Math.min(index, Math.max(0, pictures.length - 1))), [pictures]);
  const onKeyDown = (event: KeyboardEvent) => {
    const target =
      event.key === "Home"
        ? 0
        : event.key === "End"
          ? pictures.length - 1
          : current + (STEPS[event.key] ?? 0);
    if (target === current || target < 0 || target >= pictures.length) return;
    event.preventDefault();
    setCurrent(target);
    buttons.current[target]?.focus();
  };
  return (
    <>
      {pools.map((pool) => (
        <div key={pool} class="pool">
          <h3>{pool}</h3>
          <div class="glyphs" role="toolbar" aria-label={`Blocks of ${pool}`} onKeyDown={onKeyDown}>
            {pictures.map((picture, index) => {
              if (picture.pool !== pool) return null;
              const inside = names(picture);
              const lit = selected !== null && inside.includes(selected);
              return (
                <button
                  key={picture.block.id}
                  type="button"
                  ref={(element) => {
                    buttons.current[index] = element;
                  }}
                  class={`glyph ${selected === null ? "" : lit ? "lit" : "dim"}`}
                  data-count={picture.count}
                  data-memories={inside.join(" ")}
                  tabIndex={index === current ? 0 : -1}
                  onFocus={() => {
                    setCurrent(index);
                    show(picture);
                  }}
                  onPointerEnter={() => show(picture)}
                  onClick={(event) => {
                    const pointed = (event.target as Element)
                      .closest("[data-memory]")
                      ?.getAttribute("data-memory");
                    const next =
                      inside[(inside.indexOf(selected ?? "") + 1) % (inside.length + (lit ? 1 : 0))] ?? null;
                    select(
                      pointed === undefined || pointed === null
                        ? next
                        : pointed === selected
                          ? null
                          : pointed,
                    );
                  }}
                >
                  <BlockGlyph picture={picture} area={area} hueOf={hueOf} selected={selected} />
                  <span class="caption">
                    {picture.count > 1 ? <b>×{figure(picture.count)} </b> : null}
                    {inside[0]}
                    {inside.length > 1 ? ` +${inside.length - 1}` : ""}
                  </span>
                  <span class="hidden words">{inWords(picture)}</span>
                </button>
              );
            })}
          </div>
        </div>
      ))}
      {every.length > pictures.length && (
        <button type="button" onClick={() => setWhole(true)}>
          Show {figure(every.length - pictures.length)} more
        </button>
      )}
    </>
  );
}
