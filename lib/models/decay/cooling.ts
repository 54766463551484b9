import { BeadbenchError, type Finding, onlyDefined, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import { requireSetting } from "../../process/index.js";
import { fitLinear, type Interval, type LinearFit, linearModel, predict } from "../../regression/index.js";
import { coefficientIntervals } from "../coefficient-intervals.js";
import { fitDecay } from "./fit-decay.js";
import type { DecayFit, DecayKind } from "./types.js";

/** One reading of a cooling part. */
export interface CoolingReading {
  /** s after arc-off. */
  readonly time: number;
  /** degC, always at the same spot. */
  readonly temperature: number;
}

const cooling: DecayKind = {
  scatter: "additive",
  quantity: "temperature",
  unit: "degC",
  timeUnit: "s",
  floorName: "the temperature of the surroundings",
};

/**
 * Time constant of a part that cools as one lump, from readings after arc-off.
 *
 *     T = Tw + (T1 - Tw) exp(-t/tau)
 *
 * T1 is the temperature at arc-off that the curve goes back to. Readings before heat has evened out within the part,
 * seconds for a thin wall and more for a thick one, belong to another curve: a finding says when they show.
 * Sensor, spot and emissivity move the answer: compare only curves taken alike. Forecast with {@link coolingCourse},
 * which does not take one exponential for granted.
 *
 * @param options.surroundings - Tw, degC, when measured by itself; else fitted, which takes a log long enough to level out
 * @param options.level - of the limits. Default 0.95
 * @throws {BeadbenchError} `bad-argument` for a reading no part shows, `not-enough-data` with too few readings
 * @source lumped (Newton) cooling; limits by profile likelihood, Bates and Watts (1988) chapter 6
 */
export function fitCooling(
  readings: readonly CoolingReading[],
  options: { readonly surroundings?: number; readonly level?: number } = {},
): DecayFit {
  const { surroundings, level } = options;
  return fitDecay(
    readings.map(({ time, temperature }) => ({ time, value: requireSetting("temperature", temperature) })),
    cooling,
    {
      ...(surroundings === undefined ? {} : { floor: requireSetting("temperature", surroundings) }),
      ...onlyDefined({ level }),
    },
  );
}

/** How the time constant grows with the height of a wall. */
export interface HeightLaw {
  /** p of tau ~ H^p. */
  readonly exponent: Interval;
  /** Heights logged, mm. */
  readonly heights: readonly [lowest: number, highest: number];
  /** Of ln tau on 1 and ln(H/1 mm). */
  readonly fit: LinearFit;
  readonly findings: readonly Finding[];
}

/**
 * Power law of the time constant over the height of a wall, from one cooling curve per height or more.
 *
 *     tau = c H^p
 *
 * p is near 2 while heat leaves through the base (diffusion time 4 H2/(pi2 a)) and falls towards 0 where convection
 * and radiation take over; between the heights logged only.
 *
 * @param curves - height mm, time constant s
 * @throws {BeadbenchError} `not-enough-data` below three curves or with one height only
 */
export function fitHeightLaw(
  curves: readonly { readonly height: number; readonly timeConstant: number }[],
  level = 0.95,
): HeightLaw {
  const heights = curves.map(({ height }) =>
    requireNumber("wall height", height, { above: 0, max: 2000, unit: "mm" }),
  );
  if (curves.length < 3 || new Set(heights).size < 2) {
    throw new BeadbenchError(
      "not-enough-data",
      `a law over height takes three cooling curves or more, at different heights, got ${curves.length}`,
    );
  }
  const fit = fitLinear(
    {
      x: heights.map((height) => [1, Math.log(height)]),
      y: curves.map(({ timeConstant }) =>
        Math.log(requireNumber("time constant", timeConstant, { above: 0, unit: "s" })),
      ),
    },
    { names: ["scale", "exponent"] },
  );
  const exponent = coefficientIntervals(fit, level)[1]!;
  return {
    exponent,
    heights: [Math.min(...heights), Math.max(...heights)],
    fit,
    findings:
      exponent.lower <= 0 && exponent.upper >= 0
        ? [
            {
              code: "height-not-shown",
              severity: "info",
              message: `the curves do not show that the time constant changes with height (exponent ${fixed(exponent.lower, 1)} to ${fixed(exponent.upper, 1)})`,
              advice: "log curves at lower and higher walls",
            },
          ]
        : [],
  };
}

/**
 * Time constant of the next curve at a height, with the limits within which it should come out.
 *
 * @param height - mm
 * @returns s; `extrapolated` beyond the heights logged, where the law may fail
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function timeConstantAt(
  law: HeightLaw,
  height: number,
): {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
  readonly extrapolated: boolean;
} {
  requireNumber("wall height", height, { above: 0, max: 2000, unit: "mm" });
  const { fit, heights, exponent } = law;
  const [at] = predict({
    fit,
    model: linearModel(fit.parameters),
    x: [[1, Math.log(height)]],
    level: exponent.level,
  });
  const { lower, upper } = at!.prediction;
  return {
    estimate: Math.exp(at!.mean),
    lower: Math.exp(lower),
    upper: Math.exp(upper),
    extrapolated: height < heights[0] || height > heights[1],
  };
}
