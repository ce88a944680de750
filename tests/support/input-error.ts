import { InputError } from "../../src/input/index.js";

/** The error that a call throws; fails where it throws none or another. */
export function inputError(call: () => unknown): InputError {
  try {
    call();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
}
