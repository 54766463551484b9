import { BeadbenchError, type Finding } from "../../errors/index.js";
import { mean, standardDeviation, tQuantile } from "../../numeric/index.js";
import { type ConvergedFit, fitNonlinear, linearModel } from "../../regression/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { rigPhysics } from "../physical/index.js";
import { type ConstrainedData, constrainedData } from "./constrained-data.js";
import { type PowerLawTerm, termName } from "./power-law-data.js";
import {
  type BeadFitOptions,
  converged,
  type Exponent,
  type FittedCoupon,
  intervalsByParameter,
  relativeError,
} from "./power-law-fit.js";

/** An estimate with its interval. */
export interface EstimateWithInterval {
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
}

/** Width, fullness and, by mass balance, height fitted together. Plain data. */
export interface ConstrainedFit {
  readonly form: "constrained";
  readonly terms: readonly PowerLawTerm[];
  readonly held: readonly string[];
  readonly level: number;
  /** mm, at the reference setting. */
  readonly widthAtReference: EstimateWithInterval;
  /** Exponents of the width; those of the height follow from the fed area. */
  readonly exponents: readonly Exponent[];
  /** Area over width times height, with the assumed deposition efficiency. */
  readonly fullness: EstimateWithInterval;
  readonly depositionEfficiency: number;
  /** Standard deviation of ln(fed area / (width x height)) from coupon to coupon. */
  readonly fullnessSd: number;
  readonly n: number;
  readonly df: number;
  readonly width: ConstrainedResponse;
  readonly height: ConstrainedResponse;
  /** ln width on 1, ln(setting / reference) ... and the coupon's own ln(w h / A) about its mean. */
  readonly fit: ConvergedFit;
  readonly findings: readonly Finding[];
}

/** How the joint model does on one of its two responses. */
export interface ConstrainedResponse {
  /** Relative standard deviation of one coupon about the model. */
  readonly relativeSd: number;
  readonly leaveOneOutError: number;
  readonly coupons: readonly FittedCoupon[];
}

/**
 * Fits the bead's width as a power law and one fullness, and lets the height follow from mass balance:
 *
 *     w = w0 (x1/x1ref)^b1 ...,   h = A / (c w),   A = phi A_w f / v
 *
 * In logarithms ln(w h / A) = -ln c + scatter, and ln w is fitted on the settings and on that scatter, which
 * carries what width and height have in common on a coupon; its intervals are exact for normal scatter. The
 * form needs fewer coefficients than two free power laws and conserves the wire; it misleads where fullness
 * changes over the window (balling at one end, flat beads at the other).
 *
 * @throws {BeadbenchError} `not-enough-data` without both bead_width and bead_height on enough coupons
 * @source seemingly unrelated regressions with a common-mean second equation, conditioned on its residual:
 *   A. Zellner, J. Am. Statist. Assoc. 57 (1962) 348, for the model
 */
export function fitConstrained(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  options: BeadFitOptions = {},
): ConstrainedFit {
  const level = options.level ?? 0.95;
  const data = constrainedData(definition, coupons, options.without);
  const needed = data.terms.length + 3;
  const n = data.coupons.length;
  if (n < needed) {
    throw new BeadbenchError(
      "not-enough-data",
      `bead_width and bead_height: ${n} coupons have both and a known feed and travel speed; the constrained form of ${data.terms.length} settings needs at least ${needed}`,
    );
  }
  const balance = data.logWidth.map((w, i) => w + data.logHeight[i]! - data.logArea[i]!);
  const middle = mean(balance);
  const fullnessSd = standardDeviation(balance);
  const names = ["ln w0", ...data.terms.map(termName), "balance"];
  const rows = data.x.map((row, i) => [1, ...row, balance[i]! - middle]);
  const start = [mean(data.logWidth), ...data.terms.map(() => 0), 0];
  const fit = converged(
    fitNonlinear({ x: rows, y: data.logWidth }, linearModel(names), { start }),
    "bead_width and bead_height",
  );
  const intervals = intervalsByParameter(fit, level);
  const half = (tQuantile(0.5 + level / 2, n - 1) * fullnessSd) / Math.sqrt(n);
  const fullness = {
    estimate: Math.exp(-middle),
    lower: Math.exp(-middle - half),
    upper: Math.exp(-middle + half),
  };
  return {
    form: "constrained",
    terms: data.terms,
    held: data.held,
    level,
    widthAtReference: natural(intervals[0]!),
    exponents: data.terms.map((term, j) => ({
      term: termName(term),
      ...intervals[j + 1]!,
      standardError: fit.standardErrors[j + 1]!,
    })),
    fullness,
    depositionEfficiency: rigPhysics(definition).depositionEfficiency.value,
    fullnessSd,
    n,
    df: fit.df,
    ...responses(data, fit, balance, fullnessSd),
    fit,
    findings: [...fit.findings, ...fullnessFindings(fullness.estimate)],
  };
}

function natural({ estimate, lower, upper }: EstimateWithInterval): EstimateWithInterval {
  return { estimate: Math.exp(estimate), lower: Math.exp(lower), upper: Math.exp(upper) };
}

/** How much of a coupon's balance goes into its width; the rest goes into its height. */
export function widthShare(fit: Pick<ConstrainedFit, "fit">): number {
  return fit.fit.estimates.at(-1)!;
}

function responses(
  data: ConstrainedData,
  fit: ConvergedFit,
  balance: readonly number[],
  fullnessSd: number,
): Pick<ConstrainedFit, "width" | "height"> {
  const share = widthShare({ fit });
  const n = balance.length;
  const middle = mean(balance);
  const leftOut = data.x.map((row, i) => {
    const others = (n * middle - balance[i]!) / (n - 1);
    const without = estimatesWithout(fit, i);
    const width = dot(without, [1, ...row, others - middle]);
    return { width, height: data.logArea[i]! + others - width };
  });
  const fitted = data.x.map((row, i) => {
    const width = dot(fit.estimates, [1, ...row, 0]);
    return { width, height: data.logArea[i]! + middle - width };
  });
  const response = (
    name: "width" | "height",
    measured: readonly number[],
    ownShare: number,
  ): ConstrainedResponse => {
    const coupons = data.coupons.map((coupon, i) => ({
      coupon,
      measured: Math.exp(measured[i]!),
      fitted: Math.exp(fitted[i]![name]),
      leftOut: Math.exp(leftOut[i]![name]),
    }));
    return {
      relativeSd: Math.hypot(fit.residualSd, ownShare * fullnessSd),
      leaveOneOutError: relativeError(
        coupons.map((coupon) => coupon.measured),
        coupons.map((coupon) => coupon.leftOut),
      ),
      coupons,
    };
  };
  return {
    width: response("width", data.logWidth, share),
    height: response("height", data.logHeight, 1 - share),
  };
}

/**
 * Estimates of a linear fit without row i: theta - B x r / (1 - h), B = covariance / s^2.
 *
 * @source D. A. Belsley, E. Kuh and R. E. Welsch, Regression Diagnostics, 1980, equation 2.1
 */
function estimatesWithout(fit: ConvergedFit, i: number): readonly number[] {
  const row = fit.observations.x[i]!;
  const step = fit.residualSd === 0 ? 0 : fit.residuals[i]! / (1 - fit.leverage[i]!) / fit.residualSd ** 2;
  return fit.estimates.map((estimate, j) => estimate - step * dot(fit.covariance[j]!, row));
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, part, j) => sum + part * b[j]!, 0);
}

function fullnessFindings(fullness: number): readonly Finding[] {
  if (fullness >= 0.5 && fullness <= 0.85) return [];
  return [
    {
      code: "odd-fullness",
      severity: "warning",
      message: `the fitted fullness ${fullness.toFixed(2)} is outside 0.50 to 0.85, what bead sections show`,
      advice:
        "check wire diameter, feed calibration and deposition losses; a constant factor in the feed shows up here",
    },
  ];
}
