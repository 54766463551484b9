import { fixed } from "../../numeric/index.js";

/** Longest line of RS274/NGC, with room to spare. */
const WIDEST = 120;

/**
 * A text of anybody's as it may stand in a comment of a machine's program: letters, digits, blanks and . _ + - / only, accents
 * taken off and all else an underscore, so that nothing of it ends a comment, begins one, or is a word.
 *
 * @example plainText("Ölring; M3)\n%") // => "Olring_ M3_ _"
 */
export function plainText(text: string): string {
  return text
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .replace(/\s+/g, " ")
    .replace(/[^A-Za-z0-9 ._+\-/]+/g, "_")
    .trim();
}

/** Sentences as a comment takes them: marks that an interpreter may know become dashes and words, commas stay. */
const prose = (text: string): string =>
  text
    .split(",")
    .map((part) =>
      plainText(
        part
          .replace(/[;:](\s|$)/g, " - ")
          .replace(/[()'"]/g, "")
          .replaceAll("%", "of 100"),
      ),
    )
    .join(", ");

/**
 * A text in comments of their own, broken at blanks so that every line is short enough for any interpreter. Each begins with a
 * word or dots of ours, since `MSG,` and the like at the head of a comment are commands.
 */
export function commentLines(head: string, text: string): readonly string[] {
  const lines: string[] = [];
  let line = plainText(head);
  for (const word of prose(text).split(" ")) {
    // A word longer than a line is cut: nothing in a comment is worth a line that an interpreter refuses.
    for (let at = 0; at < word.length; at += WIDEST - 20) {
      const part = word.slice(at, at + WIDEST - 20);
      if (line.length + 1 + part.length > WIDEST - 20) {
        lines.push(`(${line})`);
        line = `.. ${part}`;
      } else line = `${line} ${part}`;
    }
  }
  return [...lines, `(${line})`];
}

/** A number as a word of RS274/NGC takes it: digits and a point, no exponent, to a ten thousandth. */
export function wordNumber(value: number): string {
  return fixed(value, 4)
    .replace(/(\.\d*?)0+$/, "$1")
    .replace(/\.$/, "");
}

/** A name as a parameter's or a subroutine's: small letters, digits and underscores. */
export function wordName(name: string): string {
  return plainText(name)
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "_");
}

/** A doubt, short enough to stand behind anything on its line. */
export function lineMark(mark: string | undefined): string {
  return mark === undefined ? "" : ` (${plainText(mark.replace(/ %/g, " of 100")).slice(0, 90).trim()})`;
}
