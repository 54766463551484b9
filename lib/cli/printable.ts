/**
 * Characters that a terminal obeys, or that turn round what is read: controls but for line ends and tabs, and the marks of
 * writing direction (Unicode's Bidi_Control).
 */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
const OBEYED = /[\u0000-\u0008\u000b-\u001f\u007f-\u009f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

/**
 * A text for people as it may be printed: of what was typed or read from a file nothing moves the cursor, clears the screen or
 * turns words round; such characters stand as their codes.
 *
 * @example printable("wire\u001b[2J") // => "wire\\u001b[2J"
 */
export const printable = (text: string): string =>
  text
    .replaceAll("\r\n", "\n")
    .replace(OBEYED, (found) => `\\u${found.charCodeAt(0).toString(16).padStart(4, "0")}`);
