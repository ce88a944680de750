/** What help and the manual page say beside the commands and their options. */

/** Commands to begin with. */
export const EXAMPLES: readonly string[] = [
  "ramtailor pack designs/dish-controller.yaml",
  "ramtailor pack designs/dish-controller.yaml --device xc7k325t --json",
  "ramtailor derive designs/weather-mast.yaml",
  "ramtailor devices ecp5-85f",
  "ramtailor check designs/dish-controller.yaml --max-blocks EBR=150 --max-waste 40%",
  "ramtailor sweep designs/dish-controller.yaml --vary l1d.ways=1..8*2 --pareto blocks,luts",
  "ramtailor reshape designs/dish-controller.yaml --keep l1d --allow size --best 3",
  "ramtailor wrap designs/dish-controller.yaml -o rtl --bench",
  "ramtailor compare saved-plan.json designs/dish-controller.yaml --allow EBR=+4",
  "ramtailor explain designs/dish-controller.yaml l1d.tag",
  "ramtailor schema design",
  "ramtailor scan rtl/*.v --top soc -o soc.yaml",
  "ramtailor page designs/dish-controller.yaml -o dish-controller.html",
  "ramtailor completion bash > ~/.local/share/bash-completion/completions/ramtailor",
];

/** What the exit codes mean. */
export const EXIT_CODES: readonly (readonly [code: number, meaning: string])[] = [
  [0, "done, the design fits"],
  [1, "over budget or over a limit"],
  [2, "the design, the device or the options cannot be used, or an output not be written"],
  [3, "a fault of ramtailor"],
  [130, "interrupted"],
];

/** Below the list of commands. */
export const HELP_END = `
Examples:
${EXAMPLES.map((line) => `  ${line}`).join("\n")}

Exit codes:
${EXIT_CODES.map(([code, meaning]) => `  ${String(code).padEnd(5)}${meaning}`).join("\n")}`;
