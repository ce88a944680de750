import type { ComponentChildren } from "preact";

interface Props {
  readonly label: string;
  readonly children: ComponentChildren;
}

/** A part that scrolls by itself where it is too large; the keyboard reaches it. */
export function Scroll({ label, children }: Props) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a section would be drawn as one
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls has to be reached by keyboard
    <div class="scroll" tabIndex={0} role="region" aria-label={label}>
      {children}
    </div>
  );
}
