import { BeadbenchError, type ErrorCode } from "./error.js";

/**
 * Parses the text of a JSON file; a byte order mark is read over.
 *
 * @param file - name shown in the message
 * @throws {BeadbenchError} with the code given, naming the file, the place and what the parser found
 */
export function parseJson(text: string, file: string, code: ErrorCode = "bad-file"): unknown {
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new BeadbenchError(code, faultText(text, file, (error as Error).message));
  }
}

/** What the parser found, by line and column and with the line itself where it names the character. */
function faultText(text: string, file: string, found: string): string {
  const place = /\s*(?:in JSON )?at position (\d+).*$/.exec(found);
  const what = `is not valid JSON: ${place === null ? found : found.slice(0, place.index)}`;
  if (place === null) return `${file} ${what}`;
  const before = text.slice(0, Number(place[1])).split("\n");
  const line = text.split("\n")[before.length - 1]!.trim();
  const shown = line.length > LONGEST ? `${line.slice(0, LONGEST)}...` : line;
  return `${file}:${before.length}, column ${before.at(-1)!.length + 1}: ${what}; the line reads ${shown}`;
}

/** Characters of a line that a message shows. */
const LONGEST = 60;
