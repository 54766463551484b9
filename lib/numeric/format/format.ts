/**
 * The only printers of numbers; a test holds the library to it. The rule:
 *
 * - an estimate or a measured value: {@link significant}, three significant digits with their zeros, since a zero
 *   says how well it is known; {@link brief} where zeros would only be in the way;
 * - a statistic with a usual form (a correlation, an F, an AIC): {@link fixed}, a count of decimals;
 * - a share: {@link percent}; a level someone chose: {@link levelPercent}, as it was chosen;
 * - a setting: {@link settingDigits}, the same in chart, report and command;
 * - what arithmetic leaves behind the twelfth digit is never shown, nor is a minus before zero.
 */

/**
 * A number with this many significant digits, without exponent from 1e-4 up to 1e6; `-` for NaN.
 *
 * @example significant(2.1) // => "2.10"
 */
export function significant(value: number, digits = 3): string {
  if (!Number.isFinite(value)) return Number.isNaN(value) ? "-" : value > 0 ? "inf" : "-inf";
  if (value === 0) return "0";
  // Counted on the rounded number: 9.996 is 10.0 with three digits, not 10.00.
  const size = Math.abs(rounds(value, digits));
  if (size >= 1e6 || size < 1e-4) return value.toExponential(digits - 1);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(decimals, 10));
}

/**
 * A number with at most this many significant digits and no zeros at its end.
 *
 * @example brief(0.1 + 0.2, 12) // => "0.3"
 */
export function brief(value: number, digits = 3): string {
  return Number.isFinite(value) ? String(rounds(value, digits)) : significant(value);
}

/**
 * A number with this many decimals; never `-0.00`.
 *
 * @example fixed(-0.001, 2) // => "0.00"
 */
export function fixed(value: number, decimals: number): string {
  return value.toFixed(decimals).replace(/^-(0(?:\.0*)?)$/, "$1");
}

/** A ratio of mean squares beyond this says only that its denominator is next to nothing. */
const LARGEST_RATIO = 1e6;

/**
 * A ratio of mean squares, such as an F, to be read after its name.
 *
 * @param text - the ratio as it prints where it tells something
 * @example fRatioText(2.4361) // => "= 2.44"
 */
export function fRatioText(ratio: number, text = fixed(ratio, 2)): string {
  return ratio > LARGEST_RATIO ? `above ${LARGEST_RATIO}` : `= ${text}`;
}

/**
 * A share as per cent.
 *
 * @example percent(0.125) // => "13 %"
 */
export function percent(share: number, decimals = 0): string {
  return `${fixed(100 * share, decimals)} %`;
}

/**
 * A level as per cent, with the digits it was chosen with; a computed one with three.
 *
 * @example levelPercent(0.995) // => "99.5 %"
 */
export function levelPercent(level: number): string {
  const chosen = rounds(100 * level, 5);
  return `${Math.abs(chosen - 100 * level) < 1e-9 ? chosen : brief(100 * level)} %`;
}

/**
 * A number without what arithmetic left behind its significant digits, for values that must come out equal or
 * be read: 1249.9999999999952 is 1250.
 */
export function rounds(value: number, digits = 12): number {
  return Number(value.toPrecision(digits));
}

/** Digits of a setting that someone may have typed, or that a step of the rig makes. */
const TYPED = 8;

/** Digits of a computed setting: few rigs hold one to a thousandth. Common practice, no source. */
const COMPUTED = 4;

/**
 * A setting as a shop writes it. On a rig's step, or as it was typed, it prints exactly: it has no more digits than
 * its step then. A computed one (the middle of the coupons, a quantity made of settings) prints with four.
 *
 * @example settingDigits(1249.9999999999952) // => "1250"
 */
export function settingDigits(value: number): string {
  const typed = rounds(value, TYPED);
  return Math.abs(typed - value) <= 1e-11 * Math.abs(value) ? String(typed) : brief(value, COMPUTED);
}
