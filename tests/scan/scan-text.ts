import { type ScanMemory, type ScanOptions, type ScanResult, scan } from "../../src/scan/index.js";

/** Scans texts as files `a.sv`, `b.sv` and so on. Fails where the scan does not come to a result. */
export async function scanText(
  texts: string | readonly string[],
  options: ScanOptions = {},
): Promise<ScanResult> {
  const sources = [texts].flat().map((text, i) => ({ file: `${"abcdefgh"[i]}.sv`, text }));
  const outcome = await scan(sources, options);
  if (outcome.status !== "done") throw new Error(JSON.stringify(outcome));
  return outcome.result;
}

/** A memory in one line, for example `m_ram 1024x32 1rw lane 8 x3`. */
export function brief(memory: ScanMemory): string {
  const { name, depth, width, ports, instances, lane, read, clocks, initial, readWidth, writeWidth } = memory;
  const words = [name, `${depth}x${width}`, ports];
  if (lane !== null) words.push(`lane ${lane}`);
  if (read === "async") words.push("async");
  if (clocks === 2) words.push("2 clocks");
  if (initial) words.push("initial");
  if (readWidth !== null) words.push(`reads ${readWidth}`);
  if (writeWidth !== null) words.push(`writes ${writeWidth}`);
  if (memory.registers) words.push("in registers");
  if (instances > 1) words.push(`x${instances}`);
  return words.join(" ");
}

/** All memories in one line each. */
export function briefs(memories: readonly ScanMemory[]): string[] {
  return memories.map(brief);
}

/** A module with usual ports around a body: clk, we, be[3:0], wa, ra, a, b (10 bits), d (32 bits), q and p (32 bits). */
export function around(body: string, out: "reg" | "wire" = "reg"): string {
  return `module m (input clk, input clk2, input rst, input en, input we, input we2, input [3:0] be,
  input [9:0] wa, input [9:0] ra, input [9:0] a, input [9:0] b, input [31:0] d, input [31:0] e,
  output ${out} [31:0] q, output ${out} [31:0] p);
${body}
endmodule
`;
}
