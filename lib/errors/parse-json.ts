import { BeadbenchError, type ErrorCode } from "./error.js";
import { isNestedTooDeep, MOST_NESTED } from "./nesting.js";

/**
 * Parses the text of a JSON file; a byte order mark is read over.
 *
 * @param file - name shown in the message
 * @throws {BeadbenchError} with the code given, naming the file, the place and what the parser found
 */
export function parseJson(text: string, file: string, code: ErrorCode = "bad-file"): unknown {
  if (isNestedTooDeep(text)) {
    throw new BeadbenchError(
      code,
      `${file} puts lists and objects into each other more than ${MOST_NESTED} deep, which no file of this program does; is it damaged?`,
    );
  }
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new BeadbenchError(code, faultText(text, file, (error as Error).message));
  }
}

/** What the parser found, by line and column and with the line itself where it names the character. */
function faultText(text: string, file: string, found: string): string {
  const place = /\s*(?:in JSON )?at position (\d+).*$/.exec(found);
  const token = /^Unexpected token '.+?'/.exec(found)?.[0];
  const at = place !== null ? Number(place[1]) : token !== undefined ? tokenPlace(text) : undefined;
  const said = place !== null ? found.slice(0, place.index) : (token ?? found);
  const what = `is not valid JSON: ${said}`;
  if (at === undefined) return `${file} ${what}`;
  const before = text.slice(0, at).split("\n");
  const line = text.split("\n")[before.length - 1]!.trim();
  const shown = line.length > LONGEST ? `${line.slice(0, LONGEST)}...` : line;
  return `${file}:${before.length}, column ${before.at(-1)!.length + 1}: ${what}; the line reads ${shown}`;
}

/** Where the token stands that the parser complains of without a place: it ends the shortest text with that complaint. */
function tokenPlace(text: string): number {
  const complains = (length: number): boolean => {
    try {
      JSON.parse(text.slice(0, length));
      return false;
    } catch (error) {
      return (error as Error).message.startsWith("Unexpected token");
    }
  };
  let [fine, faulty] = [0, text.length];
  while (faulty - fine > 1) {
    const middle = Math.floor((fine + faulty) / 2);
    if (complains(middle)) faulty = middle;
    else fine = middle;
  }
  return faulty - 1;
}

/** Characters of a line that a message shows. */
const LONGEST = 60;
