import { type Device, findDevice, readDesign, type Source } from "../../../src/index.js";

/** Invented for these tests: small memories of which some share blocks and some cannot. */
export const SOURCE: Source = {
  file: "mast.yaml",
  text: `
design: mast
device: ecp5-25f
clock: 50 MHz
structures:
  - { kind: cache, name: l1d, size: 4 KiB, ways: 2, line: 32 B, address: 32, access: 32, lane: 8, replacement: lru, index: virtual } # page limit
  - { kind: fifo, name: samples, depth: 512, width: 36 }
memories:
  - { name: log, depth: 300, width: 18, ports: 1rw }
  - { name: table, depth: 400, width: 18, ports: 1rw }
`,
};

export const ECP5: Device = findDevice("ecp5-25f");

/** The design of a text that has no errors. */
export function designOf(text: string) {
  const read = readDesign({ file: SOURCE.file, text });
  if (!read.ok) throw new Error(read.diagnostics[0]!.message);
  return read.design;
}
