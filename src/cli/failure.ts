import { TraceError } from "../advise/cache-simulator/trace-error.js";
import { OptionError } from "../advise/sweep/option-error.js";
import { InputError } from "../input/diagnostics.js";
import { nearestName, suggestion } from "../input/nearest.js";
import { EXIT, type Io } from "./io.js";
import { oneLine } from "./one-line.js";
import { UsageError } from "./usage-error.js";

/** One error in `ramtailor-error/1`. */
export interface ErrorEntry {
  /** null where it is about no file. */
  readonly file: string | null;
  /** From 1; null where it is about no place. */
  readonly line: number | null;
  /** From 1, in UTF-16 code units; null where it is about no place. */
  readonly column: number | null;
  readonly code: string;
  readonly message: string;
  /** The nearest name that exists, where a name is not known. */
  readonly nearest: string | null;
}

interface Failure {
  readonly exit: number;
  readonly entries: readonly ErrorEntry[];
  /** For a person; ends with a line end. */
  readonly text: string;
}

/** Tells the user what went wrong, as JSON on stdout or as text on stderr, and returns the exit code. */
export async function report(error: unknown, io: Io, json: boolean): Promise<number> {
  const failure = await failureOf(error, io);
  if (json) {
    const { jsonText } = await import("../report/json.js");
    io.stdout.write(jsonText({ format: "ramtailor-error/1", errors: failure.entries }));
  } else {
    io.stderr.write(failure.text);
  }
  return failure.exit;
}

async function failureOf(error: unknown, io: Io): Promise<Failure> {
  if (error instanceof UsageError) return usageFailure(error);
  if (error instanceof InputError) return inputFailure(error);
  if (error instanceof OptionError) return optionFailure(error);
  if (error instanceof TraceError) return traceFailure(error);
  return faultOf(error, io);
}

function optionFailure({ code, message, nearest }: OptionError): Failure {
  return {
    exit: EXIT.badInput,
    entries: [{ file: null, line: null, column: null, code, message, nearest }],
    text: `error: ${oneLine(message)}\n`,
  };
}

function traceFailure({ file, line, column, message }: TraceError): Failure {
  const place = [file, line, column].filter((part) => part !== null).join(":");
  return {
    exit: EXIT.badInput,
    entries: [{ file, line, column, code: "trace", message, nearest: null }],
    text: `${oneLine(place)}: error: ${oneLine(message)}\n`,
  };
}

function usageFailure(error: UsageError): Failure {
  const unknown = error.unknown;
  const nearest = unknown === null ? nearestIn(error.message) : nearestName(unknown.word, unknown.names);
  const message =
    error.message + (unknown === null ? "" : suggestion(unknown.word, unknown.names, unknown.what));
  return {
    exit: EXIT.badInput,
    entries: [{ file: null, line: null, column: null, code: error.code, message, nearest }],
    text: `error: ${oneLine(message)}\n`,
  };
}

async function inputFailure(error: InputError): Promise<Failure> {
  const { positionOf, printDiagnostics } = await import("../input/print.js");
  const entries = error.diagnostics
    .filter((diagnostic) => diagnostic.severity === "error")
    .map(({ file, range, code, message }) => {
      const at = range === null ? null : positionOf(error.source.text, range.start);
      return {
        file,
        line: at?.line ?? null,
        column: at?.column ?? null,
        code,
        message,
        nearest: nearestIn(message),
      };
    });
  return { exit: EXIT.badInput, entries, text: printDiagnostics(error.source, error.diagnostics) };
}

/** The name that a message suggests. */
function nearestIn(message: string): string | null {
  const quoted = /did you mean ("(?:[^"\\]|\\.)*")\?/.exec(message)?.[1];
  return quoted === undefined ? null : (JSON.parse(quoted) as string);
}

function faultOf(error: unknown, io: Io): Failure {
  const message = error instanceof Error ? error.message : String(error);
  const debug = Boolean(io.env.RAMTAILOR_DEBUG) && error instanceof Error && error.stack !== undefined;
  const line = `ramtailor: a fault of this program: ${oneLine(message)}`;
  return {
    exit: EXIT.fault,
    entries: [{ file: null, line: null, column: null, code: "fault", message, nearest: null }],
    text: debug ? `${line}\n${error.stack}\n` : `${line} (RAMTAILOR_DEBUG=1 shows where)\n`,
  };
}
