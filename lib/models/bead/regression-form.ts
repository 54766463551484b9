import { BeadbenchError, valueUnless } from "../../errors/index.js";
import { counted, innerProduct, mean } from "../../numeric/index.js";
import {
  type ConvergedFit,
  estimatesWithoutFolds,
  type Fit,
  informationCriteria,
  type LackOfFit,
  type LinearFit,
  lackOfFit,
  type Model,
  parameterIntervals,
  predict,
  predictRandomBlock,
  type RandomBlockFit,
} from "../../regression/index.js";
import {
  blockShift,
  type ShiftedRegression,
  shiftedCriteria,
  shiftedRegression,
  totalSd,
} from "./block-shifts.js";
import {
  type Coefficient,
  couponQuality,
  type EstimateWithInterval,
  type FormQuality,
  type SettingRange,
} from "./form.js";
import type { FormName } from "./form-rules.js";
import { foreseen, settingLabels } from "./left-out.js";
import type { ResponseData } from "./response-data.js";
import { type ResponseScale, responseScale, type ScaleName } from "./response-scale.js";

/** A form that is a regression on a scale of the response. Plain data. */
export interface RegressionForm extends FormQuality {
  /** The scale the regression was made on; `linear` also for a power law with the same scatter everywhere. */
  readonly fitScale: ScaleName;
  /** Factors that did not vary: nothing can be said about them. */
  readonly held: readonly string[];
  /** Value at the reference setting, with its interval. */
  readonly atReference: EstimateWithInterval;
  /** All coefficients but the constant. */
  readonly coefficients: readonly Coefficient[];
  /** Absent without repeats; within blocks where the form has shifts. */
  readonly lackOfFit?: LackOfFit;
  /** What the settings themselves ranged over, where the regressors are others and may be usual where no setting is. */
  readonly ranges?: readonly SettingRange[];
  /** By least squares, blocks aside. */
  readonly fit: ConvergedFit;
  /** With a random shift per block, where the study has blocks that can tell: all figures of the form rest on it. */
  readonly random?: RandomBlockFit;
}

/** What a form has to tell for {@link regressionForm} to work out the rest. */
export interface RegressionParts<F extends FormName> {
  readonly form: F;
  readonly fitScale: ScaleName;
  readonly model: Model;
  readonly fit: ConvergedFit;
  /** The row of the reference setting. */
  readonly reference: readonly number[];
  readonly held: readonly string[];
  /** Ranges of the settings; "regressors" where those of the regressors tell as much. */
  readonly ranges: readonly SettingRange[] | "regressors";
  readonly level: number;
  /** Whether the model takes a shift per block: one that is not linear does not. */
  readonly shifts: boolean;
}

/**
 * Carries a regression back to the response's own unit: intervals, left-out errors, criterion, lack of fit.
 *
 * @throws {BeadbenchError} `not-enough-data` for a fit without residuals
 */
export function regressionForm<F extends FormName>(
  data: ResponseData,
  parts: RegressionParts<F>,
): RegressionForm & { readonly form: F } {
  const { form, fitScale, fit, level } = parts;
  if (!(fit.rss > 0)) {
    throw new BeadbenchError(
      "not-enough-data",
      `${data.response}: the coupons meet the form exactly, which leaves no scatter to judge it by`,
    );
  }
  const scale = responseScale(fitScale, data.unit);
  const shifted = parts.shifts ? withShifts(data, parts) : undefined;
  const said = shifted === undefined ? plainFigures(data, parts) : shiftedFigures(data, shifted, parts);
  const fitted = said.fitted.map(scale.back);
  const quality = couponQuality(
    data,
    fitted,
    said.leftOut.map((value) => (value === undefined ? undefined : scale.back(value))),
  );
  const inUnits = (sd: number): number => scatterInUnits({ data, fitScale, sd, fitted });
  const ofResponse = criterionShift(data, scale);
  return {
    ...quality,
    form,
    fitScale,
    held: parts.held,
    level,
    parameters: data.y.length - fit.df,
    df: fit.df,
    scatter: inUnits(said.sd),
    aic: said.aic + ofResponse,
    aicc: said.aicc + ofResponse,
    atReference: {
      estimate: scale.back(said.reference.mean),
      lower: scale.back(said.reference.confidence.lower),
      upper: scale.back(said.reference.confidence.upper),
    },
    coefficients: said.intervals.slice(1),
    ...(said.lackOfFit === undefined ? {} : { lackOfFit: said.lackOfFit }),
    ...(parts.ranges === "regressors" ? {} : { ranges: parts.ranges }),
    fit,
    ...(shifted === undefined ? {} : { random: shifted.random, shift: blockShift(shifted, inUnits) }),
    findings: [...data.findings, ...fit.findings],
  };
}

/** What a regression says on its own scale. */
interface Figures {
  readonly fitted: readonly number[];
  readonly leftOut: readonly (number | undefined)[];
  /** Standard deviation of a coupon. */
  readonly sd: number;
  readonly aic: number;
  readonly aicc: number;
  readonly reference: {
    readonly mean: number;
    readonly confidence: { readonly lower: number; readonly upper: number };
  };
  /** One per parameter. */
  readonly intervals: readonly Coefficient[];
  readonly lackOfFit: LackOfFit | undefined;
}

function plainFigures<F extends FormName>(data: ResponseData, parts: RegressionParts<F>): Figures {
  const { fit, level, model } = parts;
  const { aic, aicc } = informationCriteria(fit);
  const without = estimatesWithoutFolds(fit, model, data.folds);
  return {
    fitted: fit.fitted,
    leftOut: foreseen(data, without, (estimates, i) => model.predict(estimates, fit.observations.x[i]!)),
    sd: fit.residualSd,
    aic,
    aicc,
    reference: predict({ fit, model: parts.model, x: [parts.reference], level })[0]!,
    intervals: intervalsByParameter(fit, parts.model, level),
    lackOfFit: valueUnless("not-enough-data", () => lackOfFit(fit, { groups: settingLabels(data.settings) })),
  };
}

/** The same for a coupon of a block to come. */
function shiftedFigures<F extends FormName>(
  data: ResponseData,
  shifted: ShiftedRegression,
  parts: RegressionParts<F>,
): Figures {
  const { random, without, lackOfFit: test } = shifted;
  const rows = parts.fit.observations.x.map((row) => shiftedRow(random, parts, row));
  return {
    fitted: rows.map((row) => innerProduct(row, random.estimates)),
    leftOut: foreseen(data, without, (estimates, i) => innerProduct(rows[i]!, estimates)),
    sd: totalSd(random),
    ...shiftedCriteria(shifted),
    reference: predictRandomBlock(random, [shiftedRow(random, parts, parts.reference)], parts.level)[0]!,
    intervals: shiftedIntervals(random, parts.fit.parameters),
    lackOfFit: test,
  };
}

/** Slopes of a linear model by the parameters that a fit with shifts estimates, at a row of regressors. */
export function shiftedRow(
  random: RandomBlockFit,
  { model, fit }: { readonly model: Model; readonly fit: ConvergedFit },
  row: readonly number[],
): readonly number[] {
  const slopes = model.gradient!(fit.estimates, row);
  return slopes.filter((_, j) => random.parameters.includes(fit.parameters[j]!));
}

/** t intervals of a fit with shifts in the order of the parameters; a parameter it dropped is 0. */
export function shiftedIntervals(
  random: RandomBlockFit,
  parameters: readonly string[],
): readonly Coefficient[] {
  return parameters.map((term) => {
    const j = random.parameters.indexOf(term);
    const { estimate = 0, lower = 0, upper = 0 } = random.intervals.find(({ name }) => name === term) ?? {};
    return { term, estimate, standardError: random.standardErrors[j] ?? 0, lower, upper };
  });
}

function withShifts<F extends FormName>(
  data: ResponseData,
  { fit, model, level }: RegressionParts<F>,
): ShiftedRegression | undefined {
  const aliased = new Set(((fit as Partial<LinearFit>).aliased ?? []).map(({ term }) => term));
  const kept = fit.parameters.map((name) => !aliased.has(name));
  const only = <T>(list: readonly T[]): readonly T[] => list.filter((_, j) => kept[j]);
  const { x, y } = fit.observations;
  return shiftedRegression(
    data.blocks,
    {
      names: only(fit.parameters),
      x: x.map((row) => only(model.gradient!(fit.estimates, row))),
      y,
      settings: settingLabels(data.settings),
      folds: data.folds,
    },
    level,
  );
}

/** What a criterion of the scaled values lacks to be one of the response: -2 sum ln dz/dy. */
export function criterionShift({ y }: Pick<ResponseData, "y">, scale: ResponseScale): number {
  return -2 * y.reduce((sum, value) => sum + scale.logSlope(value), 0);
}

/**
 * Scatter of one coupon in the unit of errors (relative on the log scale, else the response's unit), from its
 * standard deviation on the scale of a fit; between scales by the slope at the middle of the data.
 */
export function scatterInUnits({
  data: { scale, unit },
  fitScale,
  sd,
  fitted,
}: {
  readonly data: Pick<ResponseData, "scale" | "unit">;
  readonly fitScale: ScaleName;
  readonly sd: number;
  readonly fitted: readonly number[];
}): number {
  if (scale === fitScale && scale !== "half-angle") return sd;
  const middle = mean(fitted);
  return scale === "log" ? sd / middle : sd / Math.exp(responseScale(fitScale, unit).logSlope(middle));
}

/** Intervals in the order of the parameters; a parameter without scatter gets an interval of width 0. */
export function intervalsByParameter(fit: ConvergedFit, model: Model, level: number): readonly Coefficient[] {
  const known = new Map(
    parameterIntervals(fit, model, { level }).map((interval) => [interval.name, interval]),
  );
  return fit.parameters.map((term, j) => {
    const estimate = fit.estimates[j]!;
    const { lower = estimate, upper = estimate } = known.get(term) ?? {};
    return { term, estimate, standardError: fit.standardErrors[j]!, lower, upper };
  });
}

/** The fit, when it may be used. */
export function converged(fit: Fit, response: string): ConvergedFit {
  if (fit.status === "converged") return fit;
  throw new BeadbenchError(
    "not-enough-data",
    `${response}: the fit ended "${fit.status}"${fit.findings.map(({ message }) => `; ${message}`).join("")}. Settings that moved together cannot be told apart: see \`beadbench check\`, and \`beadbench next\` for coupons that part them`,
    { status: fit.status },
  );
}

/** Refuses fewer coupons than coefficients plus three: AICc and an honest scatter need them. */
export function requireSpare({
  response,
  coupons,
  parameters,
  what,
}: {
  readonly response: string;
  readonly coupons: number;
  readonly parameters: number;
  readonly what: string;
}): void {
  const needed = parameters + 3;
  if (coupons >= needed) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${response}: ${counted(coupons, "coupon has", "coupons have")} a value, but ${what} needs at least ${needed}; run more coupons or hold settings constant`,
  );
}
