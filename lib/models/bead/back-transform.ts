import { requireNumber } from "../../errors/index.js";
import { normalQuantile } from "../../numeric/index.js";

/** A log-normal quantity in its own unit. */
export interface BackTransform {
  /** exp(mu): half of the values lie above. */
  readonly median: number;
  /** exp(mu + s^2/2): the average, larger than the median. */
  readonly mean: number;
  /** Standard deviation over mean. */
  readonly relativeSd: number;
  /** 95 % of the values lie between median / factor and median x factor. */
  readonly factor95: number;
}

/**
 * Turns the mean and standard deviation of a natural logarithm back.
 *
 *     median e^mu, mean e^(mu + s^2/2), relative sd sqrt(e^(s^2) - 1), 95 % factor e^(1.96 s)
 *
 * Misleads when the residuals are skewed: then use the measured mean of exp(residual) (N. Duan, J. Am.
 * Statist. Assoc. 78 (1983) 605, from memory).
 *
 * @param logMean - mu
 * @param logSd - s, 0 or more
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source moments of the log-normal distribution
 */
export function backTransform(logMean: number, logSd: number): BackTransform {
  requireNumber("logSd", logSd, { min: 0 });
  const median = Math.exp(logMean);
  return {
    median,
    mean: median * Math.exp((logSd * logSd) / 2),
    relativeSd: Math.sqrt(Math.expm1(logSd * logSd)),
    factor95: Math.exp(normalQuantile(0.975) * logSd),
  };
}
