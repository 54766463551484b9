/**
 * A name of the study as words.
 *
 * @example inWords("travel_speed") // => "travel speed"
 */
export function inWords(name: string): string {
  return name.replaceAll("_", " ").replace("standoff", "stand-off");
}

/** The first letter made a capital. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
