/** What a plan can be guilty of. */
export type ViolationCode =
  /** A number that is not whole, an empty interval, a block without tenants, two blocks of one id. */
  | "malformed"
  /** The plan is for another device. */
  | "device"
  /** The plan's memories are not exactly the requests. */
  | "memory-list"
  /** A memory of the plan differs from its request or from its layouts. */
  | "memory-fields"
  /** The layouts of a memory do not partition its instances. */
  | "instances"
  /** A realisation that the request's ports do not allow, or not the pinned one. */
  | "realisation"
  /** A number of copies that the realisation does not give. */
  | "copies"
  /** A home that the request, the realisation or the device does not allow, or a tenant outside its layout's home. */
  | "home"
  /** Stored words that the request's geometry does not allow. */
  | "stored-geometry"
  | "unknown-memory"
  | "unknown-instance"
  | "unknown-copy"
  /** A tenant of instances that live in LUT memory or registers. */
  | "logic-tenant"
  /** Bits without a place. */
  | "uncovered"
  /** Bits with more than one place. */
  | "covered-twice"
  /** A tenant's rows or bits lie outside its memory. */
  | "outside-memory"
  | "unknown-kind"
  /** The kind lacks the arrangement. */
  | "arrangement"
  /** The arrangement lacks the shape. */
  | "shape"
  /** Words outside the block. */
  | "words"
  /** Runs that are not exactly the tenant's bits, ascending and inside the word. */
  | "runs"
  /** Two tenants hold the same cells. */
  | "overlap"
  /** Unequal widths where the block has one width or one family. */
  | "mixed-widths"
  /** Ports that the arrangement or the realisation does not give. */
  | "ports"
  /** Two tenants on one port that may be addressed at once at different words. */
  | "port-shared"
  /** A multiple of the clock that the request does not allow, or on which layout, realisation and block disagree. */
  | "pump"
  /** A block clocked faster than its kind allows, or pumped where that is not known. */
  | "fastest-clock"
  /** Accesses of a pumped block's port: more than it has, fewer than the memory needs, or not stated. */
  | "turns"
  | "asynchronous-read"
  | "initial-contents"
  | "clocks"
  /** A layout's summary of its tiles or of its cascade is not what its instances have. */
  | "tiles"
  /** More tiles in depth than the request allows. */
  | "cascade"
  /** A write enable that would write bits that it must not. */
  | "lanes"
  /** Blocks in use by pool. */
  | "block-totals"
  /** More blocks, or logic, said to be available than the part has. */
  | "available"
  /** The excess over what is available. */
  | "over"
  | "status"
  | "objective"
  /** Requested, block or wasted bits. */
  | "bits"
  /** A part of the waste. */
  | "waste"
  | "efficiency"
  /** A memory's share of the blocks. */
  | "block-share"
  | "floor"
  /** LUTs, LUT memory, registers, or the bits held in them. */
  | "logic-totals";

/** One thing that is wrong with a plan. */
export interface Violation {
  readonly code: ViolationCode;
  /** What was found and what should be, with figures. */
  readonly message: string;
  /** The place in the plan, for example `block b3, tenant 0 (l1d.data)`. */
  readonly where: string;
}

/** Violations that are kept; further ones are dropped. */
export const VIOLATION_LIMIT = 100;

/** Gathers violations, each once, up to {@link VIOLATION_LIMIT}. */
export class Report {
  readonly violations: Violation[] = [];
  private readonly seen = new Set<string>();

  /** True where no further violation is kept, so that a check may stop. */
  get full(): boolean {
    return this.violations.length >= VIOLATION_LIMIT;
  }

  /** Notes one violation. */
  add(code: ViolationCode, where: string, message: string): void {
    const key = `${code}\n${where}\n${message}`;
    if (this.full || this.seen.has(key)) return;
    this.seen.add(key);
    this.violations.push({ code, message, where });
  }

  /** Notes a violation where the plan states another figure than the one found; numbers are equal within `tolerance`. */
  expect(
    code: ViolationCode,
    where: string,
    what: string,
    stated: number,
    found: number,
    tolerance = 0,
  ): void {
    if (!(Math.abs(stated - found) <= tolerance)) this.add(code, where, `${what} is ${found}, not ${stated}`);
  }
}
