import { type Axis, codedFromSettings } from "../../design/index.js";
import type { Finding } from "../../errors/index.js";
import { fitLinear, linearModel } from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { codedAxes, type SurfaceOrder, surfaceRows } from "./coded-axes.js";
import { DEFAULT_LEVEL } from "./form.js";
import { type RegressionForm, regressionForm, requireSpare } from "./regression-form.js";
import type { ResponseData } from "./response-data.js";
import { responseScale, type ScaleName } from "./response-scale.js";

/** A polynomial in the coded settings fitted to one response. */
export interface SurfaceFit extends RegressionForm {
  readonly form: SurfaceOrder;
  /** The settings that vary; numbers run from -1 to +1 over the coupons' ranges. */
  readonly axes: readonly Axis[];
}

/**
 * Fits a first- or second-order response surface in coded settings,
 *
 *     z = b0 + sum bi xi + sum bij xi xj + sum bii xi^2,   x = -1 .. +1 over the coupons' ranges,
 *
 * of the response or of its scaled value (its logarithm, for a positive one), whichever AICc prefers. Terms the
 * coupons cannot tell apart are dropped and named; a number at two settings has no square. It follows curvature and
 * interaction of any kind inside the ranges and nothing outside them: a square grows without bound.
 *
 * @throws {BeadbenchError} `not-enough-data` unless coupons exceed the coefficients by three
 * @source G. E. P. Box and K. B. Wilson, J. R. Statist. Soc. B 13 (1951) 1
 */
export function fitSurface(
  { definition }: DefinedStudy,
  {
    data,
    order,
    level = DEFAULT_LEVEL,
  }: {
    readonly data: ResponseData;
    readonly order: SurfaceOrder;
    readonly level?: number;
  },
): SurfaceFit {
  const scaled = surfaceOn({ definition }, { data, order, fitScale: data.scale, level });
  if (data.scale !== "log") return scaled;
  const plain = surfaceOn({ definition }, { data, order, fitScale: "linear", level });
  return plain.aicc! < scaled.aicc! ? plain : scaled;
}

function surfaceOn(
  { definition }: DefinedStudy,
  {
    data,
    order,
    fitScale,
    level,
  }: {
    readonly data: ResponseData;
    readonly order: SurfaceOrder;
    readonly fitScale: ScaleName;
    readonly level: number;
  },
): SurfaceFit {
  const { axes, held } = codedAxes(definition, data.settings);
  const { names, row } = surfaceRows(axes, order);
  requireSpare({
    response: data.response,
    coupons: data.y.length,
    parameters: names.length,
    what: `a ${order} surface of ${axes.length} settings`,
  });
  const x = data.settings.map((setting) => row(codedFromSettings(axes, setting, data.response)));
  const y = data.y.map(responseScale(fitScale, data.unit).forward);
  const form = regressionForm(data, {
    form: order,
    fitScale,
    model: linearModel(names),
    fit: fitLinear({ x, y }, { names }),
    reference: row(axes.map(() => 0)),
    held,
    ranges: "regressors",
    level,
    shifts: true,
  });
  return {
    ...form,
    axes,
    findings: [...form.findings, ...(order === "quadratic" ? withoutSquares(data.response, axes) : [])],
  };
}

function withoutSquares(response: string, axes: readonly Axis[]): readonly Finding[] {
  const two = axes.filter(({ category, values }) => !category && values.length === 2).map(({ name }) => name);
  if (two.length === 0) return [];
  return [
    {
      code: "no-square",
      severity: "info",
      message: `${response}: ${two.join(", ")} was run at two settings only, which cannot show a square; that term was dropped`,
      advice: "run a third setting between the two to see whether the response bends",
      about: two,
    },
  ];
}
