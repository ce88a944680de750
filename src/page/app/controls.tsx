import { useState } from "preact/hooks";
import { type PortCounts, parsePorts, parseSize, portsName, sizeName } from "../../model/index.js";
import type { Field, FieldGroup, PageEdit } from "../worker/messages.js";
import type { Explorer } from "./explorer.js";

/** What fields of a group share. */
interface Turning {
  /** Makes an edit. */
  readonly turn: (edit: PageEdit) => void;
  /** Answers so far: what was typed or stepped since the last one is still on its way. */
  readonly steps: number;
}

type Turn = Turning["turn"];

/** The edit that gives a key a value. */
function editOf(field: Field, value: string | number | boolean | null): PageEdit {
  if (field.label === "sets" && typeof value === "number") {
    return { sets: field.path.slice(0, -".sets".length), value };
  }
  return { path: field.path, value };
}

/** The value one step up or down; null where there is none. */
function stepped(field: Field, up: boolean): string | number | null {
  const { value, form, doubles } = field;
  const size = typeof value === "string" ? parseSize(value) : null;
  const now = typeof value === "number" ? value : size;
  if (now === null) return null;
  const doubling = doubles || form === "size";
  const next = doubling ? (up ? now * 2 : now / 2) : now + (up ? 1 : -1);
  if (next < 1 || !Number.isInteger(next)) return null;
  return size === null ? next : sizeName(next);
}

/** A typed word as the value that the text gets; null takes the key out. */
function typed(form: Field["form"], text: string): string | number | null {
  const word = text.trim();
  if (word === "") return null;
  return /^\d{1,12}$/.test(word) && form !== "size" ? Number(word) : word;
}

function PortsField({ field, turn }: { readonly field: Field; readonly turn: Turn }) {
  const ports = parsePorts(String(field.value)) ?? { read: 0, write: 0, readWrite: 0 };
  const kinds: readonly (readonly [keyof PortCounts, string])[] = [
    ["read", "read"],
    ["write", "write"],
    ["readWrite", "read-write"],
  ];
  return (
    <fieldset class="ports">
      <legend>ports</legend>
      {kinds.map(([key, name]) => (
        <label key={key}>
          <input
            type="number"
            min="0"
            max="99"
            value={ports[key]}
            data-path={`${field.path}.${key}`}
            onChange={({ currentTarget }) => {
              const next = { ...ports, [key]: Math.max(0, Math.trunc(Number(currentTarget.value)) || 0) };
              turn(editOf(field, portsName(next) || "1rw"));
            }}
          />
          <span>{name}</span>
        </label>
      ))}
    </fieldset>
  );
}

function NumberField({ field: known, turn, steps }: { readonly field: Field } & Turning) {
  const [ahead, setAhead] = useState<{ readonly steps: number; readonly value: Field["value"] } | null>(null);
  // Steps that follow each other faster than answers come go on from where the last one led.
  const field = ahead?.steps === steps ? { ...known, value: ahead.value } : known;
  const less = stepped(field, false);
  const more = stepped(field, true);
  const how = field.doubles || field.form === "size" ? ["halve", "double"] : ["one less", "one more"];
  const owner = field.path.split(".")[0];
  const step = (value: string | number | null) => {
    if (value === null) return;
    setAhead({ steps, value });
    turn(editOf(field, value));
  };
  return (
    <div class={`knob ${field.written ? "" : "unset"}`}>
      <label>
        <span class="key">{field.label}</span>
        <input
          type="text"
          inputMode={field.form === "size" ? "text" : "numeric"}
          autocomplete="off"
          spellcheck={false}
          value={field.value === null ? "" : String(field.value)}
          placeholder="not set"
          data-path={field.path}
          onChange={({ currentTarget }) => turn(editOf(field, typed(field.form, currentTarget.value)))}
          onKeyDown={(event) => {
            if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
            event.preventDefault();
            step(event.key === "ArrowUp" ? more : less);
          }}
        />
      </label>
      <button
        type="button"
        aria-label={`${owner} ${field.label}: ${how[0]}`}
        disabled={less === null}
        onClick={() => step(less)}
      >
        −
      </button>
      <button
        type="button"
        aria-label={`${owner} ${field.label}: ${how[1]}`}
        disabled={more === null}
        onClick={() => step(more)}
      >
        +
      </button>
    </div>
  );
}

function OtherField({ field, turn }: { readonly field: Field; readonly turn: Turn }) {
  if (field.form === "flag") {
    return (
      <label class="knob flag">
        <input
          type="checkbox"
          checked={field.value === true}
          onChange={({ currentTarget }) => turn(editOf(field, currentTarget.checked))}
        />
        <span class="key">{field.label}</span>
      </label>
    );
  }
  return (
    <div class="knob">
      <label>
        <span class="key">{field.label}</span>
        <select
          value={String(field.value ?? "")}
          onChange={({ currentTarget }) => turn(editOf(field, currentTarget.value || null))}
        >
          {field.value === null && <option value="">not set</option>}
          {field.words.map((word) => (
            <option key={word} value={word}>
              {word}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}

function Knobs({ fields, ...turning }: { readonly fields: readonly Field[] } & Turning) {
  return (
    <div class="knobs">
      {fields.map((field) => {
        const { form, path } = field;
        if (form === "ports") return <PortsField key={path} field={field} turn={turning.turn} />;
        if (form === "choice" || form === "flag")
          return <OtherField key={path} field={field} turn={turning.turn} />;
        return <NumberField key={path} field={field} {...turning} />;
      })}
    </div>
  );
}

interface GroupProps extends Turning {
  readonly group: FieldGroup;
  readonly open: boolean;
}

function Group({ group, open, ...turning }: GroupProps) {
  const [unfolded, setUnfolded] = useState(open);
  const [all, setAll] = useState(false);
  const first = group.fields.filter(({ written }) => written);
  const others = group.fields.filter(({ written }) => !written);
  const brief = first
    .filter(({ form }) => form !== "flag" && form !== "choice")
    .slice(0, 3)
    .map(({ label, value }) => `${label} ${value}`);
  return (
    <details
      open={unfolded || open}
      data-group={group.name}
      onToggle={({ currentTarget }) => setUnfolded(currentTarget.open)}
    >
      <summary>
        <b>{group.name}</b> <span class="faint">{group.kind}</span>
        <span class="brief faint">{brief.join(" · ")}</span>
      </summary>
      {unfolded && (
        <>
          <Knobs fields={first} {...turning} />
          {others.length > 0 && (
            <button type="button" class="link more" aria-expanded={all} onClick={() => setAll(!all)}>
              {all ? "Fewer keys" : `${others.length} keys that are not written`}
            </button>
          )}
          {all && <Knobs fields={others} {...turning} />}
        </>
      )}
    </details>
  );
}

/** A control for every number of every structure and memory. */
export function Controls({
  explorer,
  selected,
}: {
  readonly explorer: Explorer;
  readonly selected: string | null;
}) {
  const { groups, shown, stale, marks, steps } = explorer.state;
  const error = stale ? marks.find(({ severity }) => severity === "error") : undefined;
  const owner = shown.plan.memories.find(({ name }) => name === selected);
  const asked = owner?.structure ?? selected;
  return (
    <section class="controls" aria-labelledby="controls-title">
      <div class="head">
        <h2 id="controls-title" tabIndex={-1}>
          Try a geometry
        </h2>
      </div>
      <p class="faint">Every change packs the whole design again. Arrow keys step a number.</p>
      {error !== undefined && (
        <p class="verdict bad" role="alert">
          {error.line === null ? "" : `Line ${error.line}: `}
          {error.message}
        </p>
      )}
      {groups.length === 0 && <p class="faint">Reading the design …</p>}
      {groups.map((group, i) => (
        <Group
          key={group.name}
          group={group}
          open={group.name === asked || (asked === null && i === 0)}
          turn={(edit) => explorer.edit([edit])}
          steps={steps}
        />
      ))}
    </section>
  );
}
