import type { Finding } from "../../errors/index.js";
import { onlyDefined } from "../../errors/index.js";
import { fixed, innerProduct, mean } from "../../numeric/index.js";
import {
  type ConvergedFit,
  estimatesWithoutFolds,
  fitLinear,
  fitNonlinear,
  informationCriteria,
  linearModel,
} from "../../regression/index.js";
import type { StudyData } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { rigPhysics } from "../physical/index.js";
import { shiftedCriteria, shiftsUnseen, totalSd } from "./block-shifts.js";
import {
  type ConstrainedData,
  type ConstrainedPair,
  type ConstrainedSize,
  constrainedData,
} from "./constrained-data.js";
import { type ConstrainedRandom, type ConstrainedShifts, constrainedShifts } from "./constrained-shifts.js";
import {
  type BeadFitOptions,
  type Coefficient,
  couponQuality,
  DEFAULT_LEVEL,
  type EstimateWithInterval,
  type FormQuality,
} from "./form.js";
import { foreseen } from "./left-out.js";
import { type PowerLawTerm, termName } from "./power-law-data.js";
import { converged, intervalsByParameter, shiftedIntervals } from "./regression-form.js";
import { vagueExponents } from "./vague-exponents.js";

/** Width, fullness and, by mass balance, height fitted together. Plain data. */
export interface ConstrainedFit {
  readonly form: "constrained";
  readonly terms: readonly PowerLawTerm[];
  readonly held: readonly string[];
  readonly level: number;
  /** mm, at the reference setting. */
  readonly widthAtReference: EstimateWithInterval;
  /** Exponents of the width; those of the height follow from the fed area. */
  readonly exponents: readonly Coefficient[];
  /** Area over width times height, with the assumed deposition efficiency. */
  readonly fullness: EstimateWithInterval;
  readonly depositionEfficiency: number;
  /** Standard deviation of ln(fed area / (width x height)) from coupon to coupon. */
  readonly fullnessSd: number;
  readonly n: number;
  readonly df: number;
  /**
   * Of width and height together: to be held against the sum of two free forms on the same coupons. Absent where
   * coupons are too few for it, or leave no scatter.
   */
  readonly aicc?: number;
  /** How the joint model does on the width, and on the height. */
  readonly width: FormQuality;
  readonly height: FormQuality;
  /** ln width on 1, ln(setting / reference) ... and the coupon's own ln(w h / A) about its mean. */
  readonly fit: ConvergedFit;
  /** With shifts from block to block, where the study has blocks that can tell: all figures then rest on it. */
  readonly random?: ConstrainedRandom;
  readonly findings: readonly Finding[];
}

/**
 * Fits the width as a power law and one fullness, and lets the height follow from mass balance:
 *
 *     w = w0 (x1/x1ref)^b1 ...,   h = A / (c w),   A = phi A_w f / v
 *
 * In logarithms ln(w h / A) = -ln c + scatter, and ln w is fitted on the settings and on that scatter, which
 * carries what width and height have in common on a coupon; its intervals are exact for normal scatter. The
 * form needs fewer coefficients than two free power laws and conserves the wire; it misleads where fullness
 * changes over the window (balling at one end, flat beads at the other). For a wall, w is its total width and h the
 * rise of a layer; c is then the mean width over the total one.
 *
 * @param pair - the two responses, from {@link constrainedPairs}
 * @throws {BeadbenchError} `not-enough-data` without both sizes on enough coupons
 * @source seemingly unrelated regressions with a common-mean second equation, conditioned on its residual:
 *   A. Zellner, J. Am. Statist. Assoc. 57 (1962) 348, for the model
 */
export function fitConstrained(
  { definition, coupons }: StudyData,
  pair: ConstrainedPair,
  options: BeadFitOptions = {},
): ConstrainedFit {
  const level = options.level ?? DEFAULT_LEVEL;
  const data = constrainedData({ definition, coupons }, pair, options.without);
  const what = `${pair.width.response} and ${pair.height.response}`;
  const { terms, held } = data;
  const balance = data.logWidth.map((w, i) => w + data.logHeight[i]! - data.logArea[i]!);
  const balanceFit = fitLinear({ x: balance.map(() => [1]), y: balance }, { names: ["-ln c"] });
  const names = ["ln w0", ...terms.map(termName), "balance"];
  const shifted = constrainedShifts({ data, balance, names, level });
  const [middle] =
    shifted === undefined
      ? intervalsByParameter(balanceFit, linearModel(["-ln c"]), level)
      : shiftedIntervals(shifted.balance.random, ["-ln c"]);
  const rows = data.x.map((row, i) => [1, ...row, balance[i]! - middle!.estimate]);
  const start = [mean(data.logWidth), ...terms.map(() => 0), 0];
  const model = linearModel(names);
  const fit = converged(fitNonlinear({ x: rows, y: data.logWidth }, model, { start }), what);
  const [atReference, ...others] =
    shifted === undefined
      ? intervalsByParameter(fit, model, level)
      : shiftedIntervals(shifted.width.random, names);
  const exponents = others.slice(0, terms.length);
  const fullness = {
    estimate: Math.exp(-middle!.estimate),
    lower: Math.exp(-middle!.upper),
    upper: Math.exp(-middle!.lower),
  };
  const fullnessSd = shifted === undefined ? balanceFit.residualSd : totalSd(shifted.balance.random);
  const sizes = responses({ data, fit, balance, pair, level, fullnessSd, shifted });
  const aicc = jointCriterion({ fit, balance: balanceFit, pair: sizes, shifted });
  return {
    form: "constrained",
    terms,
    held,
    level,
    widthAtReference: natural(atReference!),
    exponents,
    fullness,
    depositionEfficiency: rigPhysics({ definition }).depositionEfficiency.value,
    fullnessSd,
    n: balance.length,
    df: fit.df,
    ...onlyDefined({ aicc }),
    ...sizes,
    fit,
    ...(shifted === undefined
      ? {}
      : { random: { width: shifted.width.random, balance: shifted.balance.random } }),
    findings: [
      ...fit.findings,
      ...shiftsUnseen(data.blocks, shifted !== undefined),
      ...vagueExponents(pair.width.response, exponents),
      ...fullnessFindings(fullness.estimate, pair),
    ],
  };
}

/** ln w given the balance, and the balance: their likelihoods multiply to that of ln w and ln h. */
function jointCriterion({
  fit,
  balance,
  pair: { width, height },
  shifted,
}: {
  readonly fit: ConvergedFit;
  readonly balance: ConvergedFit;
  readonly pair: Pick<ConstrainedFit, "width" | "height">;
  readonly shifted: ConstrainedShifts | undefined;
}): number | undefined {
  // As many coupons as AICc needs: two more than coefficients and variance.
  if (fit.df < 3 || !(fit.rss > 0 && balance.rss > 0)) return undefined;
  const logs = [width, height].flatMap(({ coupons }) => coupons.map(({ measured }) => Math.log(measured)));
  const [ofWidth, ofBalance] =
    shifted === undefined
      ? [informationCriteria(fit), informationCriteria(balance)]
      : [shiftedCriteria(shifted.width), shiftedCriteria(shifted.balance)];
  return ofWidth.aicc + ofBalance.aicc + 2 * logs.reduce((sum, log) => sum + log, 0);
}

function natural({ estimate, lower, upper }: EstimateWithInterval): EstimateWithInterval {
  return { estimate: Math.exp(estimate), lower: Math.exp(lower), upper: Math.exp(upper) };
}

/** How much of a coupon's balance goes into its width; the rest goes into its height. */
export function widthShare({ fit, random }: Pick<ConstrainedFit, "fit" | "random">): number {
  return (random?.width ?? fit).estimates.at(-1)!;
}

function responses({
  data,
  fit,
  balance,
  pair,
  level,
  fullnessSd,
  shifted,
}: {
  readonly data: ConstrainedData;
  readonly fit: ConvergedFit;
  readonly balance: readonly number[];
  readonly pair: ConstrainedPair;
  readonly level: number;
  readonly fullnessSd: number;
  readonly shifted: ConstrainedShifts | undefined;
}): Pick<ConstrainedFit, "width" | "height"> {
  const { estimates } = shifted?.width.random ?? fit;
  const sd = shifted === undefined ? fit.residualSd : totalSd(shifted.width.random);
  const share = estimates.at(-1)!;
  const middle = shifted?.balance.random.estimates[0] ?? mean(balance);
  const leftOut = leftOutSizes({ data, fit, balance, middle, shifted });
  const fitted = data.x.map((row, i) => {
    const width = innerProduct(estimates, [1, ...row, 0]);
    return { width, height: data.logArea[i]! + middle - width };
  });
  const quality = ({
    name,
    measured,
    size: { response, unit },
    ownShare,
  }: {
    readonly name: "width" | "height";
    readonly measured: readonly number[];
    readonly size: ConstrainedSize;
    readonly ownShare: number;
  }): FormQuality => {
    const inUnit = (logMillimetres: number): number => convert(Math.exp(logMillimetres), "mm", unit);
    return {
      ...couponQuality(
        { ...data, response, unit, scale: "log", y: measured.map(inUnit) },
        fitted.map((row) => inUnit(row[name])),
        leftOut.map((sizes) => (sizes === undefined ? undefined : inUnit(sizes[name]))),
      ),
      form: "constrained",
      // Those of the width and the fullness, shared by both.
      parameters: data.terms.length + 2,
      df: fit.df,
      scatter: Math.hypot(sd, ownShare * fullnessSd),
      level,
      ...(shifted === undefined ? {} : { shift: shifted.shifts[name] }),
      findings: [],
    };
  };
  return {
    width: quality({ name: "width", measured: data.logWidth, size: pair.width, ownShare: share }),
    height: quality({ name: "height", measured: data.logHeight, size: pair.height, ownShare: 1 - share }),
  };
}

/** Logarithms of both sizes, foreseen from the settings that stay. */
function leftOutSizes({
  data,
  fit,
  balance,
  middle,
  shifted,
}: {
  readonly data: ConstrainedData;
  readonly fit: ConvergedFit;
  readonly balance: readonly number[];
  readonly middle: number;
  readonly shifted: ConstrainedShifts | undefined;
}): readonly ({ readonly width: number; readonly height: number } | undefined)[] {
  const { folds, logArea, x } = data;
  const without = shifted?.width.without ?? estimatesWithoutFolds(fit, linearModel(fit.parameters), folds);
  const middles = folds.map(({ without: gone }, k) => {
    const own = shifted?.balance.without[k]?.[0];
    return own ?? mean(balance.filter((_, i) => !gone.includes(i)));
  });
  const others = foreseen(
    data,
    middles.map((value) => [value]),
    ([value]) => value!,
  );
  const widths = foreseen(data, without, (estimates, i) =>
    innerProduct(estimates, [1, ...x[i]!, others[i]! - middle]),
  );
  return widths.map((width, i) =>
    width === undefined ? undefined : { width, height: logArea[i]! + others[i]! - width },
  );
}

function fullnessFindings(fullness: number, { usual, width, height }: ConstrainedPair): readonly Finding[] {
  if (fullness >= usual.lower && fullness <= usual.upper) return [];
  return [
    {
      code: "odd-fullness",
      severity: "warning",
      message: `the fitted fullness ${fixed(fullness, 2)} of ${width.response} and ${height.response} is outside ${fixed(usual.lower, 2)} to ${fixed(usual.upper, 2)}, what ${usual.what} show`,
      advice:
        "check wire diameter, feed calibration and deposition losses; a constant factor in the feed shows up here",
    },
  ];
}
