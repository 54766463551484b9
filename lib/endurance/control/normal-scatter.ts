import type { Finding } from "../../errors/index.js";
import { mean, normalCdf, significant, standardDeviation } from "../../numeric/index.js";

/** Fewest readings whose shape tells anything. */
const FEWEST = 10;
/** Of the modified statistic: 1 chance in 100 for normal readings; Stephens. */
const UNLIKELY = 1.035;

/**
 * Anderson and Darling's distance of readings from normal ones of their own mean and scatter, modified for few readings.
 *
 *     A2 = -n - sum (2i - 1)/n (ln F(z_i) + ln(1 - F(z_(n+1-i)))),  A2* = A2 (1 + 0.75/n + 2.25/n^2)
 *
 * @source M. A. Stephens in D'Agostino and Stephens, Goodness-of-Fit Techniques (1986), table 4.7; NIST/SEMATECH
 *   e-Handbook, 1.3.5.14 (A2)
 */
export function normalDistance(values: readonly number[]): number {
  const n = values.length;
  const [centre, sd] = [mean(values), standardDeviation(values)];
  const z = values.map((value) => (value - centre) / sd).sort((a, b) => a - b);
  const sum = z.reduce(
    (total, value, i) =>
      total + ((2 * i + 1) / n) * (Math.log(normalCdf(value)) + Math.log(normalCdf(-z[n - 1 - i]!))),
    0,
  );
  return (-n - sum) * (1 + 0.75 / n + 2.25 / (n * n));
}

/** Says so where readings without any signal scatter unlike normal ones, on which all limits rest. */
export function scatterFindings(values: readonly number[]): readonly Finding[] {
  if (values.length < FEWEST || !(standardDeviation(values) > 0)) return [];
  const distance = normalDistance(values);
  if (distance <= UNLIKELY) return [];
  const logs = values.every((value) => value > 0)
    ? normalDistance(values.map((value) => Math.log(value)))
    : undefined;
  return [
    {
      code: "scatter-not-normal",
      severity: "warning",
      message: `the readings scatter unlike normal ones (Anderson-Darling ${significant(distance)}, above ${significant(UNLIKELY, 4)} once in a hundred normal records): the limits, which assume that, signal more often or less often than said`,
      advice:
        logs !== undefined && logs < UNLIKELY
          ? "their logarithms do not: the scatter grows with the size, so chart the logarithm in a column of its own"
          : "look at the readings for slips, two gauges or two settings in one record",
    },
  ];
}
