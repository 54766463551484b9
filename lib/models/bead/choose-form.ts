import { fixed, mean, standardDeviation } from "../../numeric/index.js";
import { formTitle } from "./candidate.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import { type FormName, type FormQuality, squaredLeftOut } from "./form.js";
import type { FreeForm } from "./predict-form.js";
import { errorText } from "./response-scale.js";

/** A form chosen, and why, with the numbers. */
export interface Choice<F> {
  readonly chosen: F;
  readonly explanation: string;
}

/** Among forms with as many coefficients the more physical one counts as simpler. */
const ORDER: readonly FormName[] = ["energy-balance", "power-law", "linear", "quadratic", "gaussian-process"];

/** Simplest first; a departure comes after every form without one. */
function bySimplicity(a: FormQuality, b: FormQuality): number {
  const process = (form: FormQuality): number => (form.form === "gaussian-process" ? 1 : 0);
  return (
    process(a) - process(b) || a.parameters - b.parameters || ORDER.indexOf(a.form) - ORDER.indexOf(b.form)
  );
}

/** Mean and standard error of paired differences. */
function paired(differences: readonly number[]): { readonly middle: number; readonly standardError: number } {
  return {
    middle: mean(differences),
    standardError: standardDeviation(differences) / Math.sqrt(differences.length),
  };
}

/**
 * The simplest form whose squared leave-one-out error is within one standard error of the best form's, the
 * errors compared coupon by coupon. A form that a simpler one beats outright does not stand, however uncertain the
 * comparison: a surface on few coupons can be so erratic that nothing is surely better. Nor does a Gaussian process
 * stand that AIC takes for scatter about a simpler form.
 *
 * @param forms - at least one, all fitted to the same coupons
 * @source the one-standard-error rule of L. Breiman et al., Classification and Regression Trees, 1984, section 3.4.3
 */
export function chooseFree(forms: readonly FreeForm[]): Choice<FreeForm> {
  const squares = (form: FreeForm): readonly number[] =>
    form.coupons.map((coupon) => squaredLeftOut(form.scale, coupon));
  const standing: FreeForm[] = [];
  for (const form of [...forms].sort(bySimplicity)) if (stands(form, standing)) standing.push(form);
  const best = standing.at(-1)!;
  const least = squares(best);
  const chosen = standing.find((form) => {
    const { middle, standardError } = paired(squares(form).map((square, i) => square - least[i]!));
    return middle <= standardError;
  })!;
  const others = forms.filter((form) => form !== chosen);
  const figures = [chosen, ...others]
    .map((form) => `${formTitle(form.form)} ${errorText(form.leaveOneOutError, form.errorUnit)}`)
    .join(", ");
  const title = formTitle(chosen.form);
  const why =
    others.length === 0
      ? `${title}: the only form the coupons support`
      : chosen === best
        ? `${title}: ${simplest(chosen, others) ? "simplest, and foresees left-out coupons best" : "foresees left-out coupons better than every simpler form, by more than one standard error"}`
        : `${title}: the simplest whose errors on left-out coupons lie within one standard error of the best`;
  const noise = forms.some(
    (form) => form.leaveOneOutError < chosen.leaveOneOutError && isScatter(form, standing),
  )
    ? "; the departure of the Gaussian process is no more than scatter allows, by AIC"
    : "";
  return { chosen, explanation: `${why} (leave-one-out error: ${figures}${noise})` };
}

/** Whether a form foresees left-out coupons better than the simpler ones that stand; a departure must be more than scatter. */
function stands(form: FreeForm, simpler: readonly FreeForm[]): boolean {
  return (
    simpler.every((other) => form.leaveOneOutError < other.leaveOneOutError) && !isScatter(form, simpler)
  );
}

/** A departure that AIC does not find worth its length scales and variance, against a form without one. */
function isScatter(form: FreeForm, others: readonly FreeForm[]): boolean {
  return form.form === "gaussian-process" && others.some((other) => other !== form && other.aic! <= form.aic);
}

const simplest = (form: FreeForm, others: readonly FreeForm[]): boolean =>
  others.every((other) => bySimplicity(form, other) < 0);

/**
 * Width and height together or each by itself: together, which conserves the wire with fewer coefficients, unless the
 * free forms foresee left-out coupons better by more than one standard error.
 */
export function chooseJoint(
  joint: ConstrainedFit,
  free: { readonly width: FreeForm; readonly height: FreeForm },
): Choice<"free" | "constrained"> {
  const { middle: gain, standardError } = paired([
    ...scaledDifferences(free.width, joint.width),
    ...scaledDifferences(free.height, joint.height),
  ]);
  const figures = (["width", "height"] as const)
    .map((size) => {
      const own = free[size];
      return `${own.response} ${errorText(joint[size].leaveOneOutError, "1")} constrained, ${errorText(own.leaveOneOutError, own.errorUnit)} ${formTitle(own.form)}`;
    })
    .join("; ");
  const saved = free.width.parameters + free.height.parameters - joint.width.parameters;
  const spared = saved > 0 ? ` with ${saved} coefficient${saved === 1 ? "" : "s"} fewer` : "";
  const criterion = aiccText(joint, free);
  return gain < -standardError
    ? {
        chosen: "free",
        explanation: `free forms foresee left-out coupons better than the constrained one by more than one standard error (${figures}${criterion}): fullness may change over the window`,
      }
    : {
        chosen: "constrained",
        explanation: `the constrained form, which conserves the wire${spared}, foresees left-out coupons ${gain > standardError ? "better" : "as well"} (leave-one-out error of ${figures}${criterion})`,
      };
}

/** The criteria side by side, where both rest on the same coupons. */
function aiccText(joint: ConstrainedFit, { width, height }: Parameters<typeof chooseJoint>[1]): string {
  if (joint.aicc === undefined || width.aicc === undefined || height.aicc === undefined) return "";
  if (width.n !== joint.n || height.n !== joint.n) return "";
  return `; AICc ${fixed(joint.aicc, 1)} together, ${fixed(width.aicc + height.aicc, 1)} free`;
}

/** Squared errors of the free form less those of the joint one, per coupon both have, in units of their mean. */
function scaledDifferences(free: FormQuality, joint: FormQuality): readonly number[] {
  const other = new Map(joint.coupons.map((coupon) => [coupon.coupon, coupon]));
  const pairs = free.coupons.flatMap((coupon) => {
    const twin = other.get(coupon.coupon);
    return twin === undefined
      ? []
      : [[squaredLeftOut(free.scale, coupon), squaredLeftOut(joint.scale, twin)] as const];
  });
  const scale = mean(pairs.map(([a, b]) => (a + b) / 2));
  return pairs.map(([a, b]) => (a - b) / scale);
}
