import { BeadbenchError, type Finding, requireThat } from "../../errors/index.js";
import { fCdf, fRatioText, significant } from "../../numeric/index.js";
import { type ConvergedFit, isRounding } from "../common/index.js";

export interface LackOfFit {
  readonly lackOfFit: { readonly ss: number; readonly df: number };
  readonly pureError: { readonly ss: number; readonly df: number };
  /** Ratio of the mean squares. */
  readonly f: number;
  /** Chance of so large a ratio when the model is right. */
  readonly p: number;
  /** Standard deviation of repeats, which no model can beat. */
  readonly pureErrorSd: number;
  /** Distinct settings. */
  readonly settings: number;
  readonly findings: readonly Finding[];
}

export interface LackOfFitOptions {
  /** Label of the setting of each row. Default: rows of x that agree exactly. */
  readonly groups?: readonly (string | number)[];
}

interface Group {
  weight: number;
  sum: number;
}

/**
 * Lack-of-fit test: what the model leaves unexplained against the scatter of repeated settings.
 *
 *     F = (SS_lack / (c - p)) / (SS_pure / (n - c)),   c distinct settings
 *
 * Repeats must be separate runs: measuring one coupon twice makes the pure error too small and the test too strict.
 *
 * @throws {BeadbenchError} `not-enough-data` without repeats, or with no more settings than parameters
 * @source Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, section 2.1; NIST/SEMATECH e-Handbook 4.6.1
 */
export function lackOfFit(fit: ConvergedFit, options: LackOfFitOptions = {}): LackOfFit {
  const { x, y, weights } = fit.observations;
  const labels = options.groups ?? x.map((row) => row.join("|"));
  requireThat(labels.length === y.length, `lackOfFit: ${labels.length} group labels for ${y.length} rows`);
  const groups = new Map<string | number, Group>();
  labels.forEach((label, i) => {
    const group = groups.get(label) ?? { weight: 0, sum: 0 };
    const weight = weights?.[i] ?? 1;
    group.weight += weight;
    group.sum += weight * y[i]!;
    groups.set(label, group);
  });
  let pure = 0;
  labels.forEach((label, i) => {
    const { sum, weight } = groups.get(label)!;
    pure += (weights?.[i] ?? 1) * (y[i]! - sum / weight) ** 2;
  });
  const settings = groups.size;
  const pureDf = y.length - settings;
  const lackDf = fit.df - pureDf;
  if (pureDf < 1 || lackDf < 1) {
    throw new BeadbenchError(
      "not-enough-data",
      pureDf < 1
        ? "lackOfFit needs repeated settings: run at least one setting twice"
        : `lackOfFit needs more distinct settings (${settings}) than parameters (${y.length - fit.df})`,
    );
  }
  // What rounding leaves is no lack of fit, even beside repeats that agree exactly.
  const bulk = Math.sqrt(y.reduce((sum, value, i) => sum + (weights?.[i] ?? 1) * value ** 2, 0));
  const missed = Math.max(0, fit.rss - pure);
  const lack = isRounding(missed, bulk) ? 0 : missed;
  const ratio = lack === 0 ? 0 : lack / lackDf / (pure / pureDf);
  const f = Math.min(ratio, Number.MAX_VALUE);
  const p = ratio === f ? 1 - fCdf(f, lackDf, pureDf) : 0;
  return {
    lackOfFit: { ss: lack, df: lackDf },
    pureError: { ss: pure, df: pureDf },
    f,
    p,
    pureErrorSd: Math.sqrt(pure / pureDf),
    settings,
    findings:
      p >= 0.05
        ? []
        : [
            {
              code: "lack-of-fit",
              severity: "warning",
              message: `the model misses by more than repeats scatter: F(${lackDf}, ${pureDf}) ${fRatioText(f, significant(f, 4))}, chance ${significant(p, 2)}`,
              advice: "plot residuals against each factor and add the curvature or interaction they show",
            },
          ],
  };
}
