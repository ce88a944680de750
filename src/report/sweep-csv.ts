import { stringify } from "csv-stringify/sync";
import type { Sweep } from "../advise/index.js";
import { sweepColumns } from "./sweep-columns.js";

/**
 * A sweep as comma-separated values (RFC 4180 but for line ends), a row a line below the names of the figures; a figure
 * that is not known is empty. A text that a spreadsheet would take for a formula is quoted as text.
 */
export function sweepCsv(sweep: Sweep): string {
  const columns = sweepColumns(sweep);
  const rows = sweep.rows.map((row) => columns.map(({ value }) => value(row)));
  return stringify([columns.map(({ name }) => name), ...rows], {
    cast: { boolean: (value) => String(value) },
    escape_formulas: true,
  });
}
