import { settingDigits } from "../../numeric/figures/index.js";
import { convert } from "../../units/index.js";

/** A number that somebody may have meant when this one was typed. */
export interface Meant {
  readonly value: number;
  /** Share of slips of the pen that are of this sort. Common practice, no source. */
  readonly weight: number;
  /** What went wrong, as the end of a sentence. */
  readonly how: string;
}

/** Share of slips that follow no rule: another bead's value, a misread gauge. */
export const UNRULED = 0.25;

const DECIMAL = 0.15;
const FAR_DECIMAL = 0.02;
const SWAPPED = 0.1;
const DIGIT = 0.14;
const OFF_BY_ONE = 0.08;

/**
 * What may have been meant by a number as it was typed: the decimal mark one place or two off, two neighbouring digits
 * swapped, one digit wrong, a whole unit too much or too little.
 *
 * @param value - in the unit it was typed in
 */
export function meantBy(value: number): readonly Meant[] {
  const found: Meant[] = [
    { value: value / 10, weight: DECIMAL, how: "the decimal mark slipped" },
    { value: value * 10, weight: DECIMAL, how: "the decimal mark slipped" },
    { value: value / 100, weight: FAR_DECIMAL, how: "the decimal mark slipped by two" },
    { value: value * 100, weight: FAR_DECIMAL, how: "the decimal mark slipped by two" },
    { value: value - 1, weight: OFF_BY_ONE, how: "one too many" },
    { value: value + 1, weight: OFF_BY_ONE, how: "one too few" },
  ];
  const text = settingDigits(Math.abs(value));
  const places = [...text].flatMap((character, i) => (/\d/.test(character) ? [i] : []));
  // A number with many digits was computed, such as a mean: nobody typed it.
  if (text.includes("e") || places.length > 5) return found.filter(positive);
  const put = (changes: Readonly<Record<number, string>>): number =>
    Number([...text].map((character, i) => changes[i] ?? character).join(""));
  const swaps = places.slice(1).flatMap((at, i) => {
    const before = places[i]!;
    return text[at] === text[before] ? [] : [put({ [before]: text[at]!, [at]: text[before]! })];
  });
  for (const swapped of swaps)
    found.push({ value: swapped, weight: SWAPPED / swaps.length, how: "two digits were swapped" });
  for (const at of places) {
    for (const digit of "0123456789") {
      if (digit === text[at]) continue;
      found.push({
        value: put({ [at]: digit }),
        weight: DIGIT / (9 * places.length),
        how: "a digit is wrong",
      });
    }
  }
  return found.filter(positive);
}

const positive = ({ value }: Meant): boolean => value > 0;

/**
 * What may have been meant by a value, judged by its digits in the unit it was typed in.
 *
 * @param unit - of the value, and of what was meant
 */
export function meantInUnit(value: number, unit: string, typed = unit): readonly Meant[] {
  return meantBy(convert(value, unit, typed)).map((one) => ({
    ...one,
    value: convert(one.value, typed, unit),
  }));
}
