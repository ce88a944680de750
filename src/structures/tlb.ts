import * as z from "zod";
import { bitsFor, sumText } from "./arithmetic.js";
import { checkTable, setCount, tableRequests, tableWarnings } from "./associative.js";
import { bits, commonFields, count, countOrNone, ways, word } from "./fields.js";
import { REPLACEMENTS } from "./replacement.js";
import { defineStructure } from "./structure.js";

/**
 * Fields of the virtual memory systems, in bits: virtual and physical page number, page offset, permission bits
 * (R W X U G A D), levels of the page table (so sizes of page), and the most bits of an address space identifier.
 * Source: RISC-V Instruction Set Manual, volume II, privileged architecture, chapters on Sv32, Sv39 and Sv48, and
 * on the register satp.
 */
export const TRANSLATION_MODES = {
  sv32: { vpn: 20, ppn: 22, offset: 12, permissions: 7, levels: 2, asid: 9 },
  sv39: { vpn: 27, ppn: 44, offset: 12, permissions: 7, levels: 3, asid: 16 },
  sv48: { vpn: 36, ppn: 44, offset: 12, permissions: 7, levels: 4, asid: 16 },
} as const;

const fields = z.strictObject({
  kind: z.literal("tlb").describe("Kind of structure."),
  ...commonFields,
  entries: count().describe("Translations held: ways times a power of two."),
  ways: ways().describe("Ways of a set, or full: one set that holds every entry, in registers."),
  mode: word(["sv32", "sv39", "sv48"]).describe(
    "Virtual memory system, which says how wide virtual and physical page numbers are.",
  ),
  address: bits()
    .optional()
    .describe("Bits of a physical address that the system has. Default: all that the mode has."),
  asid: countOrNone()
    .default(0)
    .describe("Bits of the address space identifier held, at most those of the mode. Default 0."),
  page_sizes: count()
    .default(1)
    .describe(
      "Sizes of page that entries may have, at most those of the mode; each entry then tells which. Default 1.",
    ),
  replacement: word(REPLACEMENTS)
    .default("tree-plru")
    .describe(
      "How the way to replace is chosen. Default tree-plru. A fully associative one keeps no memory for it.",
    ),
});

/** Parameters of a TLB, as read. */
export type TlbParameters = z.output<typeof fields>;

function checkRules(p: TlbParameters, context: z.core.$RefinementCtx<TlbParameters>): void {
  const problem = (field: keyof TlbParameters, message: string) =>
    context.addIssue({ code: "custom", path: [field], message, input: p[field] });
  const mode = TRANSLATION_MODES[p.mode];
  checkTable(p, context);
  const most = mode.ppn + mode.offset;
  if (p.address !== undefined && (p.address <= mode.offset || p.address > most)) {
    problem("address", `expected ${mode.offset + 1} to ${most} bits, as ${p.mode} has`);
  }
  if (p.asid > mode.asid) problem("asid", `expected at most the ${mode.asid} bits of ${p.mode}`);
  if (p.page_sizes > mode.levels) {
    problem("page_sizes", `expected at most the ${mode.levels} page sizes of ${p.mode}`);
  }
  if (setCount(p) >= 2 ** mode.vpn) problem("entries", `expected fewer sets than ${p.mode} has pages`);
}

/** Translations from virtual to physical page: tag and data memories in sets, or registers where `full`. */
export const tlb = defineStructure<TlbParameters>({
  kind: "tlb",
  summary: "address translations of Sv32, Sv39 or Sv48",
  schema: fields.superRefine(checkRules),
  derive(p) {
    const mode = TRANSLATION_MODES[p.mode];
    const tag = [
      ["vpn", mode.vpn],
      ["index", -Math.log2(setCount(p))],
      ["asid", p.asid],
      ["page size", bitsFor(p.page_sizes)],
      ["valid", 1],
    ] as const;
    const data = [
      ["ppn", p.address === undefined ? mode.ppn : p.address - mode.offset],
      ["permissions", mode.permissions],
    ] as const;
    const total = (parts: readonly (readonly [string, number])[]) => parts.reduce((sum, [, n]) => sum + n, 0);
    const requests = tableRequests(p, [
      { part: "tag", width: total(tag), formula: sumText(tag) },
      { part: "data", width: total(data), formula: sumText(data) },
    ]);
    return { requests, warnings: tableWarnings(p, requests) };
  },
});
