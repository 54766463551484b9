/** A unit as it is shown: nothing for the bare ratio "1". */
export function shownUnit(unit: string): string {
  return unit === "1" ? "" : unit;
}

/** A name with its unit, as a column heading: `current [A]`; the name alone where there is none ("1"). */
export function headed(name: string, unit: string): string {
  return shownUnit(unit) === "" ? name : `${name} [${unit}]`;
}

/** A value with its unit, as in a sentence: `135 A`; the value alone where there is none ("1"). */
export function withUnit(value: string, unit: string): string {
  return `${value} ${shownUnit(unit)}`.trim();
}
