import { BeadbenchError, type Finding } from "../../errors/index.js";
import { type ConvergedFit, fitNonlinear } from "../../regression/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { derivedQuantity, physicalSettingOfCoupon, rigPhysics } from "../physical/index.js";
import {
  type ConstrainedCoupon,
  constrainedModel,
  heightRow,
  type ResidualShape,
  residualShape,
  whitenedRows,
  widthRow,
} from "./constrained-rows.js";
import { leaveCouponsOut, residualPairs } from "./constrained-leave-out.js";
import { type PowerLawTerm, powerLawRow, powerLawTerms, termName, usableCoupons } from "./power-law-data.js";
import {
  type BeadFitOptions,
  converged,
  type Exponent,
  type FittedCoupon,
  intervalsByParameter,
  relativeError,
} from "./power-law-fit.js";

/** Width, fullness and, by mass balance, height fitted together. Plain data. */
export interface ConstrainedFit {
  readonly form: "constrained";
  readonly terms: readonly PowerLawTerm[];
  readonly held: readonly string[];
  readonly level: number;
  /** mm, at the reference setting. */
  readonly widthAtReference: { readonly estimate: number; readonly lower: number; readonly upper: number };
  /** Exponents of the width; those of the height follow from the fed area. */
  readonly exponents: readonly Exponent[];
  /** Area over width times height, with the assumed deposition efficiency. */
  readonly fullness: { readonly estimate: number; readonly lower: number; readonly upper: number };
  readonly depositionEfficiency: number;
  readonly shape: ResidualShape;
  readonly n: number;
  readonly df: number;
  readonly width: ConstrainedResponse;
  readonly height: ConstrainedResponse;
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

const MAX_ROUNDS = 50;

/**
 * Fits the bead's width as a power law and one fullness, and lets the height follow from mass balance:
 *
 *     w = w0 (x1/x1ref)^b1 ...,   h = A / (c w),   A = phi A_w f / v
 *
 * in logarithms, by generalised least squares that learns how width and height scatter together. It needs
 * fewer coefficients than two free power laws and conserves the wire; it misleads where fullness changes
 * over the window (balling at one end, flat beads at the other).
 *
 * @throws {BeadbenchError} `not-enough-data` without both bead_width and bead_height on enough coupons
 */
export function fitConstrained(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  options: BeadFitOptions = {},
): ConstrainedFit {
  const level = options.level ?? 0.95;
  const usable = usableCoupons(coupons, options.without).filter(
    ({ measured }) => (measured.bead_width ?? 0) > 0 || (measured.bead_height ?? 0) > 0,
  );
  const { terms, held } = powerLawTerms(definition, usable);
  const rows = constrainedCoupons(definition, usable, terms);
  const both = rows.filter(({ logWidth, logHeight }) => logWidth !== undefined && logHeight !== undefined);
  if (both.length < terms.length + 2) {
    throw new BeadbenchError(
      "not-enough-data",
      `bead_width and bead_height: ${both.length} coupons have both and a known feed and travel speed; the constrained form of ${terms.length} settings needs at least ${terms.length + 2}`,
    );
  }
  const model = constrainedModel(terms.map(termName));
  const perResponse = (terms.length + 2) / 2;
  let shape: ResidualShape = { widthSd: 0.05, heightSd: 0.05, slope: 0, heightSdGivenWidth: 0.05 };
  let fit: ConvergedFit | undefined;
  for (let round = 0; round < MAX_ROUNDS; round++) {
    const white = whitenedRows(rows, shape);
    const start = fit?.estimates ?? [Math.log(5), ...terms.map(() => 0), Math.log(2 / 3)];
    fit = converged(
      fitNonlinear({ x: white.map(({ x }) => x), y: white.map(({ y }) => y) }, model, { start }),
      "bead_width and bead_height",
    );
    const next = residualShape(residualPairs(rows, fit.estimates), perResponse);
    if (!(next.widthSd > 0 && next.heightSdGivenWidth > 0)) break;
    const settled = Math.abs(next.widthSd / shape.widthSd - 1) + Math.abs(next.heightSd / shape.heightSd - 1) < 1e-9;
    shape = next;
    if (settled) break;
  }
  const final = fit!;
  const intervals = intervalsByParameter(final, level);
  const natural = (j: number) => ({
    estimate: Math.exp(intervals[j]!.estimate),
    lower: Math.exp(intervals[j]!.lower),
    upper: Math.exp(intervals[j]!.upper),
  });
  const leftOut = leaveCouponsOut(rows, shape, final);
  const last = terms.length + 1;
  return {
    form: "constrained",
    terms,
    held,
    level,
    widthAtReference: natural(0),
    exponents: terms.map((term, j) => ({
      term: termName(term),
      estimate: intervals[j + 1]!.estimate,
      standardError: final.standardErrors[j + 1]!,
      lower: intervals[j + 1]!.lower,
      upper: intervals[j + 1]!.upper,
    })),
    fullness: natural(last),
    depositionEfficiency: rigPhysics(definition).depositionEfficiency.value,
    shape,
    n: rows.length,
    df: final.df,
    width: responseOf(rows, final, shape.widthSd, leftOut, "width"),
    height: responseOf(rows, final, shape.heightSd, leftOut, "height"),
    fit: final,
    findings: [...final.findings, ...fullnessFindings(natural(last).estimate)],
  };
}

function constrainedCoupons(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  terms: readonly PowerLawTerm[],
): readonly ConstrainedCoupon[] {
  const physics = rigPhysics(definition);
  const unitOf = (name: string): string => definition.responses.find((r) => r.name === name)?.unit ?? "mm";
  return coupons.flatMap((coupon) => {
    const area = derivedQuantity("bead_area", physicalSettingOfCoupon(definition, coupon), physics);
    if (area === undefined || !(area > 0)) return [];
    const log = (name: string): number | undefined => {
      const value = coupon.measured[name];
      return value === undefined || value <= 0 ? undefined : Math.log(convert(value, unitOf(name), "mm"));
    };
    const logWidth = log("bead_width");
    const logHeight = log("bead_height");
    return [
      {
        coupon: coupon.id,
        x: powerLawRow(terms, coupon.settings),
        logArea: Math.log(area),
        ...(logWidth === undefined ? {} : { logWidth }),
        ...(logHeight === undefined ? {} : { logHeight }),
      },
    ];
  });
}

function responseOf(
  rows: readonly ConstrainedCoupon[],
  fit: ConvergedFit,
  relativeSd: number,
  leftOut: ReturnType<typeof leaveCouponsOut>,
  response: "width" | "height",
): ConstrainedResponse {
  const coupons = rows.flatMap((row, i): FittedCoupon[] => {
    const log = response === "width" ? row.logWidth : row.logHeight;
    const without = leftOut[i]![response];
    if (log === undefined || without === undefined) return [];
    const line = response === "width" ? widthRow(row.x) : heightRow(row.x);
    const offset = response === "width" ? 0 : row.logArea;
    const fitted = line.reduce((sum, part, j) => sum + part * fit.estimates[j]!, offset);
    return [
      {
        coupon: row.coupon,
        measured: Math.exp(log),
        fitted: Math.exp(fitted),
        leftOut: Math.exp(log - without),
      },
    ];
  });
  return {
    relativeSd,
    leaveOneOutError: relativeError(
      coupons.map(({ measured }) => measured),
      coupons.map(({ leftOut: value }) => value),
    ),
    coupons,
  };
}

function fullnessFindings(fullness: number): readonly Finding[] {
  if (fullness >= 0.5 && fullness <= 0.85) return [];
  return [
    {
      code: "odd-fullness",
      severity: "warning",
      message: `the fitted fullness ${fullness.toFixed(2)} is outside 0.50 to 0.85, what bead sections show`,
      advice: "check wire diameter, feed calibration and deposition losses; a constant factor in the feed shows up here",
    },
  ];
}
