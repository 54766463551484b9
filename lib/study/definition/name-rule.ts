/** The rule {@link isName} holds names to, as the end of a sentence. */
export const NAME_RULE =
  "must be snake_case: small letters, digits and single _ between them, such as travel_speed";

/**
 * Words as they would stand in a name; {@link isName} says whether they make one.
 *
 * @example asName(" Bead width") // => "bead_width"
 */
export const asName = (words: string): string =>
  words
    .trim()
    .toLowerCase()
    .replace(/[\s-]+/g, "_");

/** Whether a text is a name: of a setting, a result, a block, a column kept beside them, an incident. */
export function isName(text: string): boolean {
  return /^[a-z][a-z0-9]*(_[a-z0-9]+)*$/.test(text);
}
