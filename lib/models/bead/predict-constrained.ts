import { innerProduct, quadraticForm, tQuantile } from "../../numeric/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { derivedQuantity, rigPhysics } from "../physical/index.js";
import { physicalSettingOf, type Settings } from "../settings/index.js";
import { backTransform } from "./back-transform.js";
import { type ConstrainedFit, widthShare } from "./constrained-fit.js";
import { constrainedSpread } from "./constrained-shifts.js";
import { powerLawRow } from "./power-law-data.js";
import type { BeadPrediction } from "./predict-form.js";

/**
 * Predicts the width or the height of a constrained form.
 *
 * With B the covariance, g = (1, ln x/xref ..., 0), share the part of the balance's scatter s_u that goes into
 * this response (gamma into the width, 1 - gamma into the height):
 *
 *     var(mean) = g' B g + share^2 s_u^2 / n,   var(next) = var(mean) + s^2 + (share^2 + var(gamma)) s_u^2
 *
 * With shifts from block to block both variances of the next coupon hold those of a block to come.
 */
export function predictConstrained(
  { definition }: DefinedStudy,
  {
    joint,
    size,
    settings,
  }: {
    readonly joint: ConstrainedFit;
    readonly size: "width" | "height";
    readonly settings: readonly Settings[];
  },
): readonly BeadPrediction[] {
  const physics = rigPhysics({ definition });
  const { fit, fullnessSd, n, random } = joint;
  const { response, unit } = joint[size];
  const share = size === "width" ? widthShare(joint) : 1 - widthShare(joint);
  const shareError = fit.standardErrors.at(-1)!;
  const largest = Math.max(...fit.leverage);
  const natural = (log: number): number => convert(Math.exp(log), "mm", unit);
  return settings.map((setting) => {
    const g = [1, ...powerLawRow(joint.terms, setting), 0];
    const logWidth = innerProduct(g, (random?.width ?? fit).estimates);
    const variance = quadraticForm(g, fit.covariance);
    const area =
      derivedQuantity("bead_area", physicalSettingOf({ definition }, setting), physics) ?? Number.NaN;
    const log = size === "width" ? logWidth : Math.log(area / joint.fullness.estimate) - logWidth;
    const spread = (): ReturnType<typeof constrainedSpread> => {
      if (random !== undefined) return constrainedSpread(random, { row: g, share }, joint.level);
      const sd = Math.sqrt(variance + (share * fullnessSd) ** 2 / n);
      const next = Math.hypot(sd, fit.residualSd, Math.hypot(share, shareError) * fullnessSd);
      return { ofMean: { sd, df: fit.df }, ofNext: { sd: next, df: fit.df } };
    };
    const { ofMean, ofNext } = spread();
    const interval = ({ sd, df }: typeof ofMean) => {
      const half = tQuantile(0.5 + joint.level / 2, df) * sd;
      return { lower: natural(log - half), upper: natural(log + half) };
    };
    return {
      response,
      unit,
      estimate: natural(log),
      mean: convert(backTransform(log, joint[size].scatter).mean, "mm", unit),
      confidence: interval(ofMean),
      prediction: interval(ofNext),
      extrapolation: fit.residualSd > 0 && variance / fit.residualSd ** 2 > largest * (1 + 1e-9),
    };
  });
}
