import { BeadbenchError, type ErrorCode } from "./error.js";

/**
 * Parses the text of a JSON file; a byte order mark is read over.
 *
 * @param file - name shown in the message
 * @throws {BeadbenchError} with the code given, naming the file and what the parser found
 */
export function parseJson(text: string, file: string, code: ErrorCode = "bad-file"): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new BeadbenchError(code, `${file} is not valid JSON: ${(error as Error).message}`);
  }
}
