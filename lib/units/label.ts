/**
 * A unit as it is shown: nothing for the bare ratio "1".
 *
 * @example shownUnit("1") // => ""
 */
export function shownUnit(unit: string): string {
  return unit === "1" ? "" : unit;
}

/**
 * A name with its unit, as a column heading; the name alone where there is none ("1").
 *
 * @example headed("current", "A") // => "current [A]"
 */
export function headed(name: string, unit: string): string {
  return shownUnit(unit) === "" ? name : `${name} [${unit}]`;
}

/**
 * A value with its unit, as in a sentence; the value alone where there is none ("1").
 *
 * @example withUnit("135", "A") // => "135 A"
 */
export function withUnit(value: string, unit: string): string {
  return `${value} ${shownUnit(unit)}`.trim();
}
