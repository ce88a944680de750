import type { AccessBatch } from "./accesses.js";
import { ACCESS_KINDS } from "./geometry.js";
import { TraceError } from "./trace-error.js";

/** Most bytes of a line; an access needs less than 40. */
const LONGEST_LINE = 1000;

const TAB = 9;
const NEWLINE = 10;
const RETURN = 13;
const SPACE = 32;
const COMMA = 44;
const ZERO = 48;
const NINE = 57;
const LOWER_X = 120;
const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf];

const KIND_BYTES: readonly Buffer[] = ACCESS_KINDS.map((kind) => Buffer.from(kind));
const TWO_32 = 2 ** 32;

/** Batches of this many accesses at most are handed on. */
const BATCH = 65_536;

/** Value of a hexadecimal digit; -1 for any other byte. */
function hexadecimal(byte: number): number {
  if (byte >= ZERO && byte <= NINE) return byte - ZERO;
  const lower = byte | 32;
  return lower >= 97 && lower <= 102 ? lower - 87 : -1;
}

/**
 * Turns the bytes of a trace, chunk by chunk, into accesses. A line is `kind,address`: fetch, read or write, and an
 * address of at most 64 bits in decimal or after 0x. Blank lines, spaces around the fields, `kind,address` as the
 * first line and carriage returns are skipped. Throws {@link TraceError} at the first line of another form.
 */
export class TraceLines {
  private rest: Uint8Array = new Uint8Array(0);
  private line = 0;
  private count = 0;
  private started = false;
  private headerMayCome = true;
  private readonly kinds = new Uint8Array(BATCH);
  private readonly low = new Uint32Array(BATCH);
  private readonly high = new Uint32Array(BATCH);

  /** `take` gets each batch; its arrays are used again afterwards. */
  constructor(
    private readonly file: string,
    private readonly take: (batch: AccessBatch) => void,
  ) {}

  /** Lines read so far, whole ones. */
  get lines(): number {
    return this.line;
  }

  /** Reads the next bytes. */
  push(chunk: Uint8Array): void {
    let bytes = this.rest.length === 0 ? chunk : Buffer.concat([this.rest, chunk]);
    if (!this.started && bytes.length >= BYTE_ORDER_MARK.length) {
      this.started = true;
      if (BYTE_ORDER_MARK.every((byte, i) => bytes[i] === byte)) bytes = bytes.subarray(3);
    }
    const end = bytes.lastIndexOf(NEWLINE) + 1;
    this.readLines(bytes, end);
    // A copy: the chunk's memory may be used again.
    this.rest = Uint8Array.prototype.slice.call(bytes, end);
    if (this.rest.length > LONGEST_LINE) this.tooLong(this.line + 1);
  }

  /** Reads what is left and hands on the last batch. */
  end(): void {
    if (this.rest.length > 0) {
      const bytes = Buffer.concat([this.rest, Buffer.from("\n")]);
      this.readLines(bytes, bytes.length);
    }
    this.flush();
  }

  private flush(): void {
    if (this.count > 0) this.take({ length: this.count, kinds: this.kinds, low: this.low, high: this.high });
    this.count = 0;
  }

  /** Reads the lines in bytes up to `end`, the last of which ends there. */
  private readLines(bytes: Uint8Array, end: number): void {
    const { kinds, low: lows, high: highs } = this;
    let at = 0;
    while (at < end) {
      const start = at;
      this.line += 1;
      while (bytes[at] === SPACE || bytes[at] === TAB) at += 1;
      const first = bytes[at]!;
      if (first === NEWLINE || (first === RETURN && bytes[at + 1] === NEWLINE)) {
        at += first === NEWLINE ? 1 : 2;
        continue;
      }
      // The three kinds differ in their first letters.
      const kind: number = first === 102 ? 0 : first === 114 ? 1 : first === 119 ? 2 : -1;
      const word = KIND_BYTES[kind];
      let letters = 0;
      if (word !== undefined)
        while (letters < word.length && bytes[at + letters] === word[letters]) letters += 1;
      if (word === undefined || letters < word.length) {
        if (this.headerMayCome && isHeader(bytes, start)) {
          this.headerMayCome = false;
          at = bytes.indexOf(NEWLINE, start) + 1;
          continue;
        }
        this.wrong(bytes, start, at, "expected fetch, read or write");
      }
      this.headerMayCome = false;
      at += letters;
      while (bytes[at] === SPACE || bytes[at] === TAB) at += 1;
      if (bytes[at] !== COMMA) this.wrong(bytes, start, at, `expected a comma after ${ACCESS_KINDS[kind]}`);
      at += 1;
      while (bytes[at] === SPACE || bytes[at] === TAB) at += 1;

      const address = at;
      const hex = bytes[at] === ZERO && (bytes[at + 1]! | 32) === LOWER_X;
      if (hex) at += 2;
      const digits = at;
      const base = hex ? 16 : 10;
      let low = 0;
      let high = 0;
      for (;;) {
        const digit = hexadecimal(bytes[at]!);
        if (digit < 0 || digit >= base) break;
        const next = low * base + digit;
        low = next % TWO_32;
        high = high * base + (next - low) / TWO_32;
        if (high >= TWO_32) this.wrong(bytes, start, address, "expected an address of at most 64 bits");
        at += 1;
      }
      if (at === digits) this.wrong(bytes, start, address, "expected an address in decimal or after 0x");
      while (bytes[at] === SPACE || bytes[at] === TAB || bytes[at] === RETURN) at += 1;
      if (bytes[at] !== NEWLINE) this.wrong(bytes, start, at, "expected the end of the line");
      at += 1;
      const index = this.count;
      kinds[index] = kind;
      lows[index] = low;
      highs[index] = high;
      this.count = index + 1;
      if (this.count === BATCH) this.flush();
    }
  }

  private wrong(bytes: Uint8Array, start: number, at: number, expected: string): never {
    const newline = bytes.indexOf(NEWLINE, at);
    const end = newline < 0 ? bytes.length : newline;
    if (end - start > LONGEST_LINE) this.tooLong(this.line);
    const rest = Buffer.from(bytes.subarray(at, end)).toString("utf8").trimEnd();
    const found = rest === "" ? "nothing" : JSON.stringify(rest.length > 40 ? `${rest.slice(0, 39)}…` : rest);
    throw new TraceError(this.file, this.line, at - start + 1, `${expected}, found ${found}`);
  }

  private tooLong(line: number): never {
    const message = `expected a line of at most ${LONGEST_LINE} bytes, found a longer one`;
    throw new TraceError(this.file, line, 1, message);
  }
}

/** Whether a line names the two fields. */
function isHeader(bytes: Uint8Array, start: number): boolean {
  const line = Buffer.from(bytes.subarray(start, start + LONGEST_LINE)).toString("utf8");
  return /^\s*"?kind"?\s*,\s*"?address"?[ \t\r]*\n/i.test(line);
}
