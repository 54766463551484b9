/**
 * A name of the study as words.
 *
 * @example inWords("travel_speed") // => "travel speed"
 */
export function inWords(name: string): string {
  return name.replaceAll("_", " ").replace("standoff", "stand-off");
}

/**
 * A text with its first letter made a capital.
 *
 * @example sentence("mind the arc") // => "Mind the arc"
 */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
