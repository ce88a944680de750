import type { Device, Plan } from "../model/index.js";

/** What a page starts from: it stands in the page as JSON. */
export interface PageStart {
  readonly format: "ramtailor-page/1";
  /** The design file as the user named it, and its text. */
  readonly file: string;
  readonly text: string;
  /** The device that was asked for beside the design; null: the design's own. */
  readonly device: string | null;
  /** Devices from files, by the name or path that the user wrote; the shipped ones are in the page anyway. */
  readonly devices: Readonly<Record<string, Device>>;
  /** The device that the plan is for. */
  readonly packedOn: Device;
  readonly plan: Plan;
  /** Milliseconds after which a packing takes the best plan so far. */
  readonly deadlineMs: number;
  /** A sweep of the design, as `sweep --json` writes it; null: none. */
  readonly sweep: unknown;
}

/** What the built page has in place of the start data. */
export const START_MARK = '"ramtailor-start"';

/** The first characters of every page that was written; behind them stands the digest of the rest. */
export const PAGE_HEAD = "<!doctype html><!-- ramtailor page ";

/** A page with its start data in place. `template` is the built page. Throws RangeError where the mark is not in it once. */
export function pageHtml(template: string, start: PageStart): string {
  const parts = template.split(START_MARK);
  if (parts.length !== 2) throw new RangeError("the page's template has no place for its start data");
  // No script element can end inside the JSON.
  const json = JSON.stringify(start).replaceAll("<", "\\u003c");
  return parts.join(json);
}
