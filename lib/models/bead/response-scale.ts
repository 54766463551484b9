import { percent, significant } from "../../numeric/index.js";
import { convert } from "../../units/index.js";

/**
 * The scale on which a response is modelled: `log` for what is positive and scatters in proportion, `half-angle`
 * (ln tan of half the angle) for toe angles, `linear` for what may be zero or negative.
 */
export type ScaleName = "log" | "half-angle" | "linear";

/** A response scale, there and back. */
export interface ResponseScale {
  readonly forward: (value: number) => number;
  readonly back: (scaled: number) => number;
  /** ln of the slope of `forward`: turns a likelihood on the scale into one of the value. */
  readonly logSlope: (value: number) => number;
}

/**
 * A scale for values in a unit (which matters for angles only).
 *
 *     log: z = ln y,   half-angle: z = ln tan(theta / 2),   linear: z = y
 *
 * A circular-arc bead of width w and height h has the toe angle 2 atan(2 h / w), so with power laws of w and h the
 * half-angle scale is exact; it keeps the angle between 0 and 180 degrees.
 *
 * @source geometry of the circular segment
 */
export function responseScale(name: ScaleName, unit: string): ResponseScale {
  if (name === "log") return { forward: Math.log, back: Math.exp, logSlope: (y) => -Math.log(y) };
  if (name === "linear") return { forward: (y) => y, back: (z) => z, logSlope: () => 0 };
  const perUnit = convert(1, unit, "rad");
  return {
    forward: (angle) => Math.log(Math.tan((angle * perUnit) / 2)),
    back: (z) => (2 * Math.atan(Math.exp(z))) / perUnit,
    logSlope: (angle) => Math.log(perUnit / Math.sin(angle * perUnit)),
  };
}

/** Nodes and weights of five-point Gauss-Hermite quadrature for a standard normal variable. */
const NODES = [
  [0, 8 / 15],
  [1.355626179974266, 0.2220759220056126],
  [-1.355626179974266, 0.2220759220056126],
  [2.856970013872806, 0.01125741132772069],
  [-2.856970013872806, 0.01125741132772069],
] as const;

/**
 * Average of many values whose scaled value is normal, by five-point Gauss-Hermite quadrature; exact on the linear
 * scale, and to 5 digits on the others up to a scaled standard deviation of 0.3.
 *
 * @source the zeros 0, +-sqrt(5 +- sqrt(10)) of the Hermite polynomial x^5 - 10 x^3 + 15 x
 */
export function averageOnScale(scale: ResponseScale, middle: number, sd: number): number {
  return NODES.reduce((sum, [node, weight]) => sum + weight * scale.back(middle + sd * node), 0);
}

/** The unit in which errors of a response on this scale are told: 1 for relative errors, else the response's. */
export function errorUnitOf(name: ScaleName, unit: string): string {
  return name === "log" ? "1" : unit;
}

/** An error as {@link errorUnitOf} tells it: ln(measured / predicted), or measured - predicted. */
export function errorOn(name: ScaleName, measured: number, predicted: number): number {
  if (name !== "log") return measured - predicted;
  // A prediction of 0 or below counts as off by a factor of ten.
  return predicted > 0 ? Math.log(measured / predicted) : Math.LN10;
}

/** Digits added until errors that differ print apart. */
const MORE_DIGITS = 2;

/**
 * Errors that a sentence compares, each as {@link errorText} tells it, with a digit or two more where two that differ would
 * read the same.
 *
 * @example errorTexts([0.0656, 0.0664], "1") // => ["6.56 %", "6.64 %"]
 */
export function errorTexts(values: readonly number[], unit: string): readonly string[] {
  for (let more = 0; ; more++) {
    const texts = values.map((value) => errorText(value, unit, more));
    if (more === MORE_DIGITS || new Set(texts).size === new Set(values).size) return texts;
  }
}

/**
 * An error with its unit: per cent where it is relative (unit "1").
 *
 * @example errorText(0.045, "1") // => "4.5 %"
 */
export function errorText(value: number, unit: string, more = 0): string {
  return unit === "1" ? percent(value, 1 + more) : `${significant(value, 3 + more)} ${unit}`;
}
