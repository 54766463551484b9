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

/**
 * A number of things, as one says it.
 *
 * @param plural - where it is not the noun with an "s"
 * @example counted(1, "coupon") // => "1 coupon"
 * @example counted(3, "coupon") // => "3 coupons"
 */
export function counted(n: number, noun: string, plural = `${noun}s`): string {
  return `${n} ${n === 1 ? noun : plural}`;
}
