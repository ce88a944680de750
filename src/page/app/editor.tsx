import { useEffect, useRef, useState } from "preact/hooks";
import { counted } from "../../report/text.js";
import type { Mark } from "../worker/messages.js";
import type { Explorer } from "./explorer.js";
import { Scroll } from "./scroll.js";

/** How long typing has to rest before the text is packed, in milliseconds. */
const REST = 250;

/** The mark of each line that has one: an error before a warning. */
function marksByLine(marks: readonly Mark[]): Map<number, Mark> {
  const found = new Map<number, Mark>();
  for (const mark of marks) {
    if (mark.line !== null && found.get(mark.line)?.severity !== "error") found.set(mark.line, mark);
  }
  return found;
}

/** The design's text, with line numbers and marks where something is wrong. */
export function Editor({ explorer, file }: { readonly explorer: Explorer; readonly file: string }) {
  const { state } = explorer;
  const [draft, setDraft] = useState(state.text);
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  const area = useRef<HTMLTextAreaElement>(null);
  const gutter = useRef<HTMLDivElement>(null);
  // What is typed stays while it is being packed; a text from elsewhere takes its place.
  const sent = useRef(state.text);
  useEffect(() => {
    if (state.text !== sent.current) {
      sent.current = state.text;
      setDraft(state.text);
    }
  }, [state.text]);
  const lines = draft.split("\n");
  const wrong = marksByLine(state.marks);
  const errors = state.marks.filter(({ severity }) => severity === "error");
  const goTo = (line: number, column: number) => {
    const field = area.current;
    if (field === null) return;
    const at = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0) + column - 1;
    field.focus();
    field.setSelectionRange(at, at);
    const height = field.scrollHeight / Math.max(1, lines.length);
    field.scrollTop = Math.max(0, (line - 4) * height);
  };
  return (
    <section class="editor" aria-labelledby="editor-title">
      <div class="head">
        <h2 id="editor-title" tabIndex={-1}>
          Design text
        </h2>
        <p class="faint">{file}</p>
      </div>
      <div class="paper">
        <div class="gutter" ref={gutter} aria-hidden="true">
          {lines.map((_, i) => (
            <span key={i} class={wrong.get(i + 1)?.severity ?? ""} title={wrong.get(i + 1)?.message}>
              {i + 1}
            </span>
          ))}
        </div>
        <textarea
          ref={area}
          aria-label="Design text"
          aria-invalid={errors.length > 0}
          aria-describedby="problems"
          spellcheck={false}
          autocomplete="off"
          wrap="off"
          rows={24}
          value={draft}
          onScroll={({ currentTarget }) => {
            if (gutter.current !== null) gutter.current.scrollTop = currentTarget.scrollTop;
          }}
          onInput={({ currentTarget }) => {
            const { value } = currentTarget;
            setDraft(value);
            clearTimeout(timer.current);
            timer.current = setTimeout(() => {
              sent.current = value;
              explorer.write(value);
            }, REST);
          }}
        />
      </div>
      <div id="problems" class="problems" role="status">
        {state.marks.length === 0 ? (
          <p class="faint">No problems.</p>
        ) : (
          <>
            <p>
              {errors.length > 0 ? counted(errors.length, "error") : counted(state.marks.length, "warning")}
            </p>
            <ul>
              {state.marks.map(({ severity, message, line, column }, i) => (
                <li key={i} class={severity}>
                  {line === null ? null : (
                    <button type="button" class="link" onClick={() => goTo(line, column ?? 1)}>
                      {file}:{line}:{column}
                    </button>
                  )}{" "}
                  <span>
                    {severity}: {message}
                  </span>
                </li>
              ))}
            </ul>
          </>
        )}
      </div>
      {state.printed !== "" && (
        <details class="told-as">
          <summary>As the command line prints it</summary>
          <Scroll label="Problems as the command line prints them">
            <pre class="printed">{state.printed}</pre>
          </Scroll>
        </details>
      )}
    </section>
  );
}
