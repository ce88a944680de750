/** Languages that wrappers are written in. */
export const LANGUAGES = ["verilog", "systemverilog", "vhdl"] as const;

/** `verilog`: IEEE 1364-2005; `systemverilog`: IEEE 1800-2012; `vhdl`: IEEE 1076-2008. */
export type Language = (typeof LANGUAGES)[number];

/** What file names end with in a language. */
export const EXTENSIONS: Readonly<Record<Language, string>> = {
  verilog: ".v",
  systemverilog: ".sv",
  vhdl: ".vhd",
};

/** What the file names of benches end with. */
export const BENCH_EXTENSIONS: Readonly<Record<Language, string>> = {
  verilog: ".v",
  systemverilog: ".v",
  vhdl: ".vhd",
};
