import type { Finding } from "../../errors/index.js";
import { tCdf } from "../../numeric/distributions/index.js";
import { fixed, significant } from "../../numeric/figures/index.js";
import type { ConvergedFit } from "./types.js";

/** Residuals of every kind and the influence of one row. All but `raw` are without unit. */
export interface RowDiagnosis {
  readonly raw: number;
  /** raw sqrt(weight) / s. */
  readonly scaled: number;
  /** scaled / sqrt(1 - leverage): internally studentised, variance 1. */
  readonly studentised: number;
  /** With s from the other rows: follows t(df - 1) for a good row. */
  readonly external: number;
  /** Bonferroni-corrected chance of so large an external residual among all rows. */
  readonly outlierP: number;
  /** Cook's distance: how far all estimates move together when the row is left out. */
  readonly cook: number;
  readonly leverage: number;
}

/**
 * Row diagnostics.
 *
 *     r = raw sqrt(w) / (s sqrt(1 - h)),   t = r sqrt((df - 1) / (df - r^2)),   D = r^2 h / (p (1 - h))
 *
 * Exact for linear fits, to first order for nonlinear ones. A row of leverage 1 is fitted whatever it says: its
 * studentised residuals are given as 0.
 *
 * @source Cook and Weisberg, Residuals and Influence in Regression (1982), chapters 2 and 3
 * @example diagnoseRows(fitLinear({ x: [[1, 0], [1, 1], [1, 2], [1, 3]], y: [1, 3, 2, 4] }, { names: ["a", "b"] })).map(({ leverage }) => leverage)[0] // => 0.7
 */
export function diagnoseRows(fit: ConvergedFit): RowDiagnosis[] {
  const { df, residualSd, leverage, residuals, observations } = fit;
  const n = residuals.length;
  const p = n - df;
  return residuals.map((raw, i) => {
    const h = leverage[i]!;
    const scaled = residualSd === 0 ? 0 : (raw * Math.sqrt(observations.weights?.[i] ?? 1)) / residualSd;
    const room = 1 - h;
    const studentised = room < 1e-10 ? 0 : scaled / Math.sqrt(room);
    const rest = df - studentised ** 2;
    const external =
      df <= 1 || rest <= 0
        ? Math.sign(studentised) * Number.MAX_VALUE
        : studentised * Math.sqrt((df - 1) / rest);
    const outlierP = df <= 1 ? 1 : Math.min(1, n * 2 * (1 - tCdf(Math.abs(external), df - 1)));
    const cook = room < 1e-10 ? 0 : (studentised ** 2 * h) / (p * room);
    return {
      raw,
      scaled,
      studentised,
      external: studentised === 0 ? 0 : external,
      outlierP,
      cook,
      leverage: h,
    };
  });
}

/**
 * Rows that stand out: outliers (corrected chance below 0.05) and influential ones (Cook's distance above 1).
 *
 * @example unusualRows(fitLinear({ x: [0, 1, 2, 3, 4, 5].map((x) => [1, x]), y: [0, 1, 2, 9, 4, 5.1] }, { names: ["a", "b"] })).map(({ code }) => code) // => ["outlier"]
 */
export function unusualRows(fit: ConvergedFit, names?: readonly string[]): Finding[] {
  return diagnoseRows(fit).flatMap((row, i) => {
    const name = names?.[i] ?? `row ${i + 1}`;
    const findings: Finding[] = [];
    if (row.outlierP < 0.05) {
      findings.push({
        code: "outlier",
        severity: "warning",
        message: `${name} lies ${fixed(Math.abs(row.external), 1)} standard deviations off the fit; chance among ${fit.residuals.length} rows ${significant(row.outlierP, 2)}`,
        advice:
          "look for a slip in measuring or logging before leaving it out; a robust fit shows what it does",
        about: [name],
      });
    }
    if (row.cook > 1) {
      findings.push({
        code: "influential-row",
        severity: "warning",
        message: `${name} decides the fit on its own: Cook's distance ${significant(row.cook)}`,
        advice: "repeat this setting before trusting the fit",
        about: [name],
      });
    }
    return findings;
  });
}
