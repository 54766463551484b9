/** A name with its unit, as a column heading: `current [A]`; the name alone where there is none ("1"). */
export function headed(name: string, unit: string): string {
  return unit === "1" ? name : `${name} [${unit}]`;
}

/** A value with its unit, as in a sentence: `135 A`; the value alone where there is none ("1"). */
export function withUnit(value: string, unit: string): string {
  return unit === "1" ? value : `${value} ${unit}`;
}
