/** Characters of a value that a message shows. */
const LONGEST = 120;

/** A value of a JSON file as a message shows it: texts as they are, all else as JSON writes it, long ones cut. */
export function shownValue(value: unknown): string {
  // A number too large for a number, such as 1e400, is read as infinity, for which JSON has no word.
  const text = value !== null && typeof value === "object" ? JSON.stringify(value) : String(value);
  return text.length > LONGEST ? `${text.slice(0, LONGEST)}...` : text;
}
