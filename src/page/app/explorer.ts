import { useCallback, useEffect, useMemo, useReducer, useRef } from "preact/hooks";
import type { Device, Plan } from "../../model/index.js";
import type { PageStart } from "../../report/page.js";
import type { Answer, FieldGroup, Mark, Packed, PageEdit } from "../worker/messages.js";
import { fromHash, type Linked, toHash } from "./link.js";
import { Packer } from "./packer.js";

/** A plan and the device that it is on. */
export interface Shown {
  readonly plan: Plan;
  readonly device: Device;
}

/** All that the page shows of the design. */
export interface State extends Linked {
  readonly past: readonly Linked[];
  readonly future: readonly Linked[];
  readonly groups: readonly FieldGroup[];
  readonly ownDevice: string | null;
  readonly marks: readonly Mark[];
  /** The problems as the command line prints them. */
  readonly printed: string;
  /** The last design that could be packed. */
  readonly shown: Shown;
  /** True where `shown` is not of this text, because the text has errors. */
  readonly stale: boolean;
  /** What the last packing that changed something started from; null: nothing has changed yet. */
  readonly before: Shown | null;
  /** Milliseconds from the change to its answer; null before the first. */
  readonly milliseconds: number | null;
  /** Answers so far. */
  readonly steps: number;
  readonly busy: boolean;
  readonly fault: string | null;
}

type Action =
  | { readonly kind: "asked" }
  | {
      readonly kind: "packed";
      readonly packed: Packed;
      readonly device: string | null;
      readonly how: How;
      readonly ms: number;
    }
  | { readonly kind: "fault"; readonly message: string };

/** What becomes of the history: a new step, a step back or forth, or none. */
type How = "step" | "undo" | "redo" | "load";

function histories(state: State, { how, packed, device }: Extract<Action, { kind: "packed" }>) {
  const here = { text: state.text, device: state.device };
  const same = here.text === packed.text && here.device === device;
  if (how === "undo") return { past: state.past.slice(0, -1), future: [here, ...state.future] };
  if (how === "redo") return { past: [...state.past, here], future: state.future.slice(1) };
  if (how === "load" || same) return { past: state.past, future: state.future };
  return { past: [...state.past, here], future: [] };
}

function reduce(state: State, action: Action): State {
  if (action.kind === "asked") return { ...state, busy: true };
  if (action.kind === "fault")
    return { ...state, busy: false, steps: state.steps + 1, fault: action.message };
  const { packed, device, ms, how } = action;
  const { text, groups, ownDevice, marks, printed, result } = packed;
  return {
    ...state,
    ...histories(state, action),
    text,
    device,
    groups: groups.length > 0 ? groups : state.groups,
    // A text with errors does not say.
    ownDevice: result === null ? (ownDevice ?? state.ownDevice) : ownDevice,
    marks,
    printed,
    shown: result ?? state.shown,
    stale: result === null,
    before: how === "load" || result === null ? state.before : state.shown,
    milliseconds: ms,
    steps: state.steps + 1,
    busy: false,
    fault: null,
  };
}

/** What the page can do to the design. */
export interface Explorer {
  readonly state: State;
  /** Packs the design as opened; comparisons are with it. */
  readonly opened: Shown;
  edit(edits: readonly PageEdit[]): void;
  write(text: string): void;
  choose(device: string | null): void;
  /** Another text and device, as one step. */
  load(linked: Linked): void;
  undo(): void;
  redo(): void;
}

interface Asked {
  readonly device: string | null;
  readonly how: How;
  readonly at: number;
}

/** The design of a page, packed anew in a worker at every change. */
export function useExplorer(start: PageStart): Explorer {
  const opened = useMemo(() => ({ plan: start.plan, device: start.packedOn }), [start]);
  const [state, dispatch] = useReducer(reduce, start, ({ text, device }): State => {
    const empty = {
      past: [],
      future: [],
      groups: [],
      marks: [],
      printed: "",
      before: null,
      milliseconds: null,
      steps: 0,
    };
    return { ...empty, text, device, ownDevice: null, shown: opened, stale: false, busy: true, fault: null };
  });
  const latest = useRef(state);
  latest.current = state;
  const asked = useRef<Asked>({ device: start.device, how: "load", at: 0 });
  /** Edits that no answer has brought yet, and the text that they are for. */
  const waiting = useRef<{ text: string; edits: readonly PageEdit[] }>({ text: start.text, edits: [] });

  const packer = useMemo(
    () =>
      new Packer(start, (answer: Answer) => {
        const { device, how, at } = asked.current;
        if (answer.kind === "fault") dispatch({ kind: "fault", message: answer.message });
        if (answer.kind !== "pack") return;
        waiting.current = { text: answer.text, edits: [] };
        dispatch({ kind: "packed", packed: answer, device, how, ms: performance.now() - at });
      }),
    [start],
  );

  const ask = useCallback(
    (text: string, edits: readonly PageEdit[], device: string | null, how: How) => {
      waiting.current = { text, edits };
      asked.current = { device, how, at: performance.now() };
      dispatch({ kind: "asked" });
      packer.run({ kind: "pack", text, edits, device, file: start.file, deadlineMs: start.deadlineMs });
    },
    [packer, start],
  );

  useEffect(() => {
    const read = async () => {
      const linked = (await fromHash(location.hash)) ?? { text: start.text, device: start.device };
      const { text, device } = latest.current;
      if (latest.current.groups.length > 0 && linked.text === text && linked.device === device) return;
      ask(linked.text, [], linked.device, "load");
    };
    void read();
    addEventListener("hashchange", read);
    return () => removeEventListener("hashchange", read);
  }, [ask, start]);

  const { text, device, milliseconds } = state;
  useEffect(() => {
    if (milliseconds === null) return;
    let current = true;
    const opening = text === start.text && device === start.device;
    void (opening ? Promise.resolve("") : toHash({ text, device })).then((hash) => {
      const bare = location.href.replace(/#.*$/, "");
      if (current) history.replaceState(null, "", hash === "" ? bare : `${bare}#${hash}`);
    });
    return () => {
      current = false;
    };
  }, [text, device, milliseconds, start]);

  const step = (target: Linked | undefined, how: "undo" | "redo") => {
    if (target !== undefined && !latest.current.busy) ask(target.text, [], target.device, how);
  };
  return {
    state,
    opened,
    edit: (edits) => {
      const { text: base, edits: earlier } = waiting.current;
      ask(base, [...earlier, ...edits], asked.current.device, "step");
    },
    write: (words) => ask(words, [], asked.current.device, "step"),
    choose: (name) => ask(waiting.current.text, waiting.current.edits, name, "step"),
    load: (linked) => ask(linked.text, [], linked.device, "step"),
    undo: () => step(latest.current.past.at(-1), "undo"),
    redo: () => step(latest.current.future[0], "redo"),
  };
}
