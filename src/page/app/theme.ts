/** How light the page is: as the system says, or always one of the two. */
export type Theme = "system" | "light" | "dark";

/** Sets the theme of the whole page. */
export function applyTheme(theme: Theme): void {
  if (theme === "system") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
}
