/** Reserved words of IEEE 1364-2005, IEEE 1800 and IEEE 1076-2008 that a sanitised name could be. */
const RESERVED = new Set(
  `abs access after alias all always always_comb always_ff always_latch and architecture array assert assign assume
  attribute automatic before begin bind bins binsof bit block body break buf buffer bufif0 bufif1 bus byte case casex
  casez cell chandle checker class clocking cmos component config configuration const constant constraint context
  continue cover covergroup coverpoint cross deassign default defparam design disable disconnect dist do downto edge
  else elsif end endcase endclass endclocking endfunction endgenerate endgroup endinterface endmodule endpackage
  endprimitive endprogram endproperty endsequence endspecify endtable endtask entity enum event eventually exit expect
  export extends extern fairness file final first_match for force foreach forever fork forkjoin function generate
  generic genvar global group guarded highz0 highz1 if iff ifnone ignore_bins illegal_bins implements implies import
  impure in incdir include inertial initial inout input inside instance int integer interconnect interface intersect is
  join join_any join_none label large let liblist library linkage literal local localparam logic longint loop
  macromodule map matches medium mod modport module nand negedge nettype new next nexttime nmos nor noshowcancelled not
  notif0 notif1 null of on open or others out output package packed parameter pmos port posedge postponed primitive
  priority procedure process program property protected pull0 pull1 pulldown pullup pure rand randc randcase
  randsequence range rcmos real realtime record ref reg register reject release rem repeat report restrict return rnmos
  rol ror rpmos rtran rtranif0 rtranif1 scalared select sequence severity shared shortint shortreal showcancelled
  signal signed sla sll small soft solve specify specparam sra srl static string strong strong0 strong1 struct subtype
  super supply0 supply1 sync_accept_on sync_reject_on table tagged task then this throughout time timeprecision timeunit
  to tran tranif0 tranif1 transport tri tri0 tri1 triand trior trireg type typedef unaffected unbounded union unique
  unique0 units unsigned until untyped use uwire var variable vectored virtual vmode vprop vunit void wait wait_order
  wand weak weak0 weak1 when while wildcard wire with within wor work xnor xor`.split(/\s+/),
);

/**
 * The identifier nearest to a name that every language here takes: letters, digits and single underscores, a letter
 * first, no underscore at the end, no reserved word.
 */
export function identifier(name: string): string {
  const plain = name
    .replace(/[^A-Za-z0-9]+/g, "_")
    .replace(/^_+|_+$/g, "")
    .replace(/^(?=\d)/, "m");
  const word = plain === "" ? "m" : plain;
  return RESERVED.has(word.toLowerCase()) ? `${word}_m` : word;
}

/** Gives identifiers that differ in more than upper and lower case, by a number at the end where they would not. */
export class Names {
  private readonly taken = new Set<string>();

  /** The identifier nearest to a name that was not given before. */
  take(name: string): string {
    const wanted = identifier(name);
    let given = wanted;
    for (let n = 2; this.taken.has(given.toLowerCase()); n++) given = `${wanted}_${n}`;
    this.taken.add(given.toLowerCase());
    return given;
  }
}
