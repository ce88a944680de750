import type { Wrapper } from "../module.js";
import type { RtlPort } from "../netlist.js";
import type { RtlFile } from "../rtl-file.js";
import { benchVectors, vectorText, widthOf } from "./vectors.js";

/** Connects ports to slices of one vector, the first port lowest. */
function slices(ports: readonly RtlPort[], vector: string): string[] {
  let low = 0;
  return ports.map(({ signal: { name, width } }) => {
    const part = width === 1 ? `${vector}(${low})` : `${vector}(${low + width - 1} downto ${low})`;
    low += width;
    return `      ${name} => ${part}`;
  });
}

/** A bench in VHDL-2008 that plays a file of steps: each tells the inputs, and what the outputs have to be before. */
export function vhdlBench(
  wrapper: Wrapper,
  contents: ReadonlyMap<string, readonly bigint[]>,
): { readonly text: string; readonly files: readonly RtlFile[] } {
  const { name, bench, module } = wrapper;
  const inputs = module.ports.filter(({ direction }) => direction === "in");
  const outputs = module.ports.filter(({ direction }) => direction === "out");
  const [wide, shown] = [widthOf(inputs), widthOf(outputs)];
  const digits = (width: number) => 4 * Math.ceil(width / 4) - 1;
  const file = `${bench}.vectors`;
  const text = `-- Self-checking bench of ${name}: plays ${file}, directed and random stimulus with what a flat
-- memory would show. The simulation ends by itself and prints one line that starts with PASS or FAIL.
library ieee;
use ieee.std_logic_1164.all;
use std.textio.all;

entity ${bench} is
end entity ${bench};

architecture bench of ${bench} is
  signal inputs : std_logic_vector(${wide - 1} downto 0) := (others => '0');
  signal outputs : std_logic_vector(${shown - 1} downto 0);
begin
  dut : entity work.${name}
    port map (
${[...slices(inputs, "inputs"), ...slices(outputs, "outputs")].join(",\n")}
    );

  process
    file steps : text open read_mode is "${file}";
    variable row, message : line;
    variable check : character;
    variable stimulus : std_logic_vector(${digits(wide)} downto 0);
    variable expected, known : std_logic_vector(${digits(shown)} downto 0);
    variable reads, errors : natural := 0;
  begin
    wait for 1 ns;
    while not endfile(steps) loop
      readline(steps, row);
      read(row, check);
      hread(row, stimulus);
      if check = 'c' then
        hread(row, expected);
        hread(row, known);
        reads := reads + 1;
        if (outputs and known(${shown - 1} downto 0)) /= (expected(${shown - 1} downto 0) and known(${shown - 1} downto 0)) then
          errors := errors + 1;
          if errors <= 5 then
            write(message, string'("${bench}: outputs are ") & to_hstring(outputs));
            write(message, string'(", not ") & to_hstring(expected) & string'(" (known bits ") & to_hstring(known));
            write(message, string'(") at ") & time'image(now));
            writeline(output, message);
          end if;
        end if;
      end if;
      inputs <= stimulus(${wide - 1} downto 0);
      wait for 1 ns;
    end loop;
    if errors = 0 and reads > 0 then
      write(message, string'("PASS ${name}: ") & integer'image(reads) & string'(" checks"));
    else
      write(message, string'("FAIL ${name}: ") & integer'image(errors) & string'(" errors in ") & integer'image(reads) & string'(" checks"));
    end if;
    writeline(output, message);
    wait;
  end process;
end architecture bench;
`;
  const vectors = vectorText(wrapper, benchVectors(wrapper, contents));
  return { text, files: [{ path: file, text: vectors }] };
}
