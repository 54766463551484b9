import { ownValue, requireThat } from "../errors/index.js";
import { median, settingDigits } from "../numeric/index.js";
import { type CurveFit, predictCurve } from "../regression/index.js";
import { withUnit } from "../units/index.js";
import { chartResponse } from "./response.js";
import type { ChartSpec } from "./spec.js";

/** Points along each curve. */
const POINTS = 61;
/** A longer formula is cut in the title. */
const LONGEST_TITLE = 70;

/**
 * A formula fitted to rows along each of its variables, the others held at their medians, with bands of the mean and of
 * one reading. Where there are several variables, each reading is drawn where the formula moves it to: its residual
 * above or below the curve.
 *
 * @param units - of the response and the variables, by name; none for a plain number
 * @throws {BeadbenchError} `bad-argument` for a formula without variables, `refused` for a fit without an answer
 */
export function drawCurve(curve: CurveFit, units: Readonly<Record<string, string>> = {}): ChartSpec {
  const { fit, formula, response, variables } = curve;
  requireThat(variables.length > 0, `the formula ${formula} has no variable to draw it along`);
  const unitOf = (name: string): string => ownValue(units, name) ?? "1";
  const values = variables.map((_, j) => fit.observations.x.map((row) => row[j]!));
  const middle = Object.fromEntries(variables.map((name, j) => [name, median(values[j]!)]));
  const along = (name: string, xs: readonly number[]) =>
    predictCurve(
      curve,
      xs.map((x) => ({ ...middle, [name]: x })),
    );
  const title = `${response} = ${formula}`;
  return chartResponse({
    response: { name: response, unit: unitOf(response) },
    level: curve.level,
    title: title.length > LONGEST_TITLE ? `${title.slice(0, LONGEST_TITLE)}...` : title,
    row: "reading",
    ...(variables.length > 1 && {
      held: `${variables.map((name) => `${name} ${withUnit(settingDigits(ownValue(middle, name)!), unitOf(name))}`).join(", ")} where not on the axis; dots moved there`,
    }),
    panels: variables.map((name, j) => {
      const xs = values[j]!;
      const [low, high] = [Math.min(...xs), Math.max(...xs)];
      const grid = Array.from({ length: POINTS }, (_, i) => low + ((high - low) * i) / (POINTS - 1));
      const moved = along(name, xs);
      return {
        setting: { name, unit: unitOf(name) },
        curve: along(name, grid).map(({ mean, confidence, prediction }, i) => ({
          x: grid[i]!,
          fit: mean,
          meanLow: confidence.lower,
          meanHigh: confidence.upper,
          couponLow: prediction.lower,
          couponHigh: prediction.upper,
        })),
        measured: xs.map((x, i) => ({
          coupon: `row ${i + 1}`,
          x,
          y: moved[i]!.mean + fit.residuals[i]!,
        })),
      };
    }),
  });
}
