import fc from "fast-check";

/** An expression of constants and names of values from 0 to 7, as text; its own value is small. */
function small(names: readonly string[]): fc.Arbitrary<string> {
  const leaf = fc.oneof(
    fc.integer({ min: 0, max: 7 }).map(String),
    fc.constantFrom(...names),
    fc.constantFrom("3'd5", "4'hA", "'b11"),
  );
  return fc.letrec<{ expr: string }>((tie) => ({
    expr: fc.oneof(
      { maxDepth: 3, depthSize: "small" },
      leaf,
      fc
        .tuple(
          tie("expr"),
          fc.constantFrom("+", "*", "|", "&", "^", "%", "==", "<", ">=", "&&", "||"),
          tie("expr"),
        )
        .map(
          // No division by zero.
          ([a, sign, b]) => (sign === "%" ? `(${a} % (${b} + 1))` : `(${a} ${sign} ${b})`),
        ),
      fc.tuple(tie("expr"), tie("expr"), tie("expr")).map(([a, b, c]) => `(${a} ? ${b} : ${c})`),
      tie("expr").map((a) => `$clog2(${a} + 1)`),
      tie("expr").map((a) => `bits(${a} + 1)`),
      tie("expr").map((a) => `(${a} >> 1)`),
    ),
  })).expr;
}

const FUNCTION = `function integer bits(input integer v); integer i; begin bits = 0; for (i = v; i > 0; i = i >> 1) bits = bits + 1; end endfunction`;

/** A loop's text: variable, bounds that keep it short. */
const bounds = fc.record({
  from: fc.integer({ min: 0, max: 2 }),
  rounds: fc.integer({ min: 0, max: 3 }),
  step: fc.integer({ min: 1, max: 2 }),
});

/**
 * Sources of five modules, each an array with sizes from its parameters and, in generate loops, conditions and cases,
 * instances of the modules before it with parameters by name or by place. The top is `top`.
 */
export const randomHierarchy: fc.Arbitrary<string> = fc
  .tuple(
    ...Array.from({ length: 5 }, (_, level) => fc.array(item(level), { minLength: 1, maxLength: 3 })),
    fc.array(small(["P", "Q"]), { minLength: 10, maxLength: 10 }),
  )
  .map((drawn) => {
    const sizes = drawn.at(-1) as string[];
    const bodies = drawn.slice(0, -1) as string[][];
    return bodies
      .map((items, level) => {
        const name = level === 4 ? "top" : `m${level}`;
        const [depth, width] = [sizes[2 * level]!, sizes[2 * level + 1]!];
        return `module ${name} #(parameter P = ${level + 1}, parameter Q = 2) (input clk);
  localparam D = (${depth}) % 50 + 2;
  reg [(${width}) % 20:0] x [0:D-1];
  reg [7:0] a, d; reg [31:0] q;
  always @(posedge clk) begin x[a] <= d; q <= x[a]; end
  ${FUNCTION}
  ${items.map((text, i) => text.replaceAll("#", `${i}`).replaceAll("\u0001", "#")).join("\n  ")}
endmodule`;
      })
      .join("\n");
  });

/** One item of a module: `#` stands for a number of its own. */
function item(level: number): fc.Arbitrary<string> {
  if (level === 0) return fc.constant("");
  const of = fc.integer({ min: 0, max: level - 1 });
  const value = small(["P", "Q"]).map((text) => `(${text}) % 8`);
  const instance = (name: string) =>
    fc.tuple(of, value, value, fc.integer({ min: 0, max: 3 })).map(([which, p, q, form]) => {
      const parameters = ["", `@(.Q(${q}), .P(${p})) `, `@(${p}, ${q}) `, `@(.P(${p})) `][form]!;
      return `m${which} ${parameters}${name} (.clk(clk));`;
    });
  return (
    fc
      .oneof(
        instance("u#"),
        fc
          .tuple(instance("u"), bounds)
          .map(
            ([text, { from, rounds, step }]) =>
              `genvar g#; generate for (g# = ${from}; g# < ${from + rounds}; g# = g# + ${step}) begin : l# ${text} end endgenerate`,
          ),
        fc
          .tuple(value, instance("u"), instance("u"))
          .map(
            ([when, a, b]) =>
              `generate if (${when} > 3) begin : y# ${a} end else begin : n# ${b} end endgenerate`,
          ),
        fc
          .tuple(value, instance("u"), instance("u"))
          .map(
            ([on, a, b]) =>
              `generate case (${on}) 0, 2, 5: begin : c# ${a} end default: begin : d# ${b} ${b.replace(" u ", " v ")} end endcase endgenerate`,
          ),
        instance("r# [2:0]"),
      )
      // Only here, so that the number of an item is not put in.
      .map((text) => text.replace(/(m\d) @\(/g, "$1 \u0001("))
  );
}
