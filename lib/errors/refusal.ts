import { BeadbenchError, type ErrorCode } from "./error.js";

/** The error by which some work refuses its input; undefined when it goes through. Other errors pass on. */
export function refusalOf(work: () => unknown): BeadbenchError | undefined {
  try {
    work();
    return undefined;
  } catch (error) {
    if (error instanceof BeadbenchError) return error;
    throw error;
  }
}

/** The result of some work, or undefined when it refuses with this code. Other errors pass on. */
export function valueUnless<T>(code: ErrorCode, work: () => T): T | undefined {
  try {
    return work();
  } catch (error) {
    if (error instanceof BeadbenchError && error.code === code) return undefined;
    throw error;
  }
}
