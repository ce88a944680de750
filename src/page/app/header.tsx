import shipped from "virtual:device-names";
import { useState } from "preact/hooks";
import type { PageStart } from "../../report/page.js";
import type { Explorer } from "./explorer.js";
import { applyTheme, type Theme } from "./theme.js";

const THEMES: readonly Theme[] = ["system", "light", "dark"];

/** The name of the design, its device, steps back and forth, and ways to take the design away. */
export function Header({ start, explorer }: { readonly start: PageStart; readonly explorer: Explorer }) {
  const { state } = explorer;
  const [told, tell] = useState("");
  const [theme, setTheme] = useState<Theme>("system");
  const own = state.ownDevice;
  const copy = async (text: string, what: string) => {
    try {
      await navigator.clipboard.writeText(text);
      tell(`${what} copied`);
    } catch {
      tell(
        `The browser does not let a page copy; ${what === "Link" ? "the address bar has the link" : "save the file instead"}`,
      );
    }
  };
  const save = () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([state.text], { type: "application/yaml" }));
    link.download = start.file.replace(/^.*[/\\]/, "");
    link.click();
    URL.revokeObjectURL(link.href);
    tell(`Saved as ${link.download}`);
  };
  const families = [...new Set(shipped.map(({ family }) => family))];
  const fromFiles = Object.keys(start.devices);
  return (
    <header>
      <div class="title">
        <p class="mark">ramtailor</p>
        <h1>{state.shown.plan.design}</h1>
      </div>
      <div class="tools">
        <label class="device">
          <span>Device</span>
          <select
            value={state.device ?? ""}
            onChange={({ currentTarget }) =>
              explorer.choose(currentTarget.value === "" ? null : currentTarget.value)
            }
          >
            <option value="">{own === null ? "as the design says" : `${own} (as the design says)`}</option>
            {fromFiles.length > 0 && (
              <optgroup label="from files">
                {fromFiles.map((name) => (
                  <option key={name} value={name}>
                    {name}
                  </option>
                ))}
              </optgroup>
            )}
            {families.map((family) => (
              <optgroup key={family} label={family}>
                {shipped
                  .filter((device) => device.family === family)
                  .map(({ name }) => (
                    <option key={name} value={name}>
                      {name}
                    </option>
                  ))}
              </optgroup>
            ))}
          </select>
        </label>
        <div class="group">
          <button type="button" disabled={state.past.length === 0} onClick={explorer.undo}>
            Undo
          </button>
          <button type="button" disabled={state.future.length === 0} onClick={explorer.redo}>
            Redo
          </button>
        </div>
        <div class="group">
          <button type="button" onClick={() => copy(state.text, "Design")}>
            Copy design
          </button>
          <button type="button" onClick={save}>
            Save design
          </button>
          <button type="button" onClick={() => copy(location.href, "Link")}>
            Copy link
          </button>
        </div>
        <label class="theme">
          <span>Theme</span>
          <select
            value={theme}
            onChange={({ currentTarget }) => {
              const next = currentTarget.value as Theme;
              setTheme(next);
              applyTheme(next);
            }}
          >
            {THEMES.map((name) => (
              <option key={name} value={name}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <p class="told" role="status">
          {told}
        </p>
      </div>
    </header>
  );
}
