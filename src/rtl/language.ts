/** Languages that wrappers are written in. */
export const LANGUAGES = ["verilog", "systemverilog"] as const;

/** `verilog`: IEEE 1364-2005; `systemverilog`: IEEE 1800-2012. Benches are IEEE 1364-2005. */
export type Language = (typeof LANGUAGES)[number];

/** What file names end with in a language. */
export const EXTENSIONS: Readonly<Record<Language, string>> = { verilog: ".v", systemverilog: ".sv" };
