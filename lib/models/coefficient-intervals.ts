import { type Interval, type LinearFit, tIntervals } from "../regression/index.js";

/** Interval of every coefficient the data determine; of no width where the data have no scatter. */
export function coefficientIntervals(fit: LinearFit, level: number): readonly Interval[] {
  const wide = tIntervals(fit, { level });
  return fit.parameters.flatMap((name, j) => {
    if (fit.aliased.some(({ term }) => term === name)) return [];
    const estimate = fit.estimates[j]!;
    return [
      wide.find((one) => one.name === name) ?? { name, estimate, lower: estimate, upper: estimate, level },
    ];
  });
}
