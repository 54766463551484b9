import { counted, fixed, mean, standardDeviation } from "../../numeric/index.js";
import type { ConstrainedFit } from "./constrained-fit.js";
import { type FormQuality, squaresBySetting } from "./form.js";
import { formNames, formTitle } from "./form-rules.js";
import type { FreeForm } from "./predict-form.js";
import { errorTexts } from "./response-scale.js";

/** A form chosen, and why, with the numbers. */
export interface Choice<F> {
  readonly chosen: F;
  readonly explanation: string;
}

/** Simplest first; a departure comes after every form without one. */
function bySimplicity(a: FormQuality, b: FormQuality): number {
  const process = (form: FormQuality): number => (form.form === "gaussian-process" ? 1 : 0);
  return (
    process(a) - process(b) ||
    a.parameters - b.parameters ||
    formNames.indexOf(a.form) - formNames.indexOf(b.form)
  );
}

/** Mean and standard error of paired differences. */
function paired(differences: readonly number[]): { readonly middle: number; readonly standardError: number } {
  return {
    middle: mean(differences),
    standardError: standardDeviation(differences) / Math.sqrt(differences.length),
  };
}

/** More than this of AICc above a simpler form is no support at all: K. P. Burnham and D. R. Anderson, 2002, section 2.6. */
const UNSUPPORTED = 10;

/**
 * The simplest form whose squared error at left-out settings is within one standard error of the best form's, the errors
 * compared setting by setting. A form that a simpler one beats outright does not stand, however uncertain the
 * comparison: a surface on few coupons can be so erratic that nothing is surely better. Nor does a form that AICc finds
 * without support against a simpler one, or a Gaussian process that AIC takes for scatter about a simpler form.
 *
 * @param forms - at least one, all fitted to the same coupons
 * @source the one-standard-error rule of L. Breiman et al., Classification and Regression Trees, 1984, section 3.4.3
 */
export function chooseFree(forms: readonly FreeForm[]): Choice<FreeForm> {
  const ordered = [...forms].sort(bySimplicity);
  const squares = (form: FreeForm): readonly number[] => [...squaresBySetting(form).values()];
  const standing: FreeForm[] = [];
  for (const form of ordered) if (stands(form, standing)) standing.push(form);
  const best = standing.at(-1)!;
  const least = squares(best);
  const chosen = standing.find((form) => {
    if (form === best) return true;
    const { middle, standardError } = paired(squares(form).map((square, i) => square - least[i]!));
    return middle <= standardError;
  })!;
  const others = forms.filter((form) => form !== chosen);
  const title = formTitle(chosen.form);
  if (chosen.leftOutError === undefined) {
    return {
      chosen,
      explanation: `${title}: the simplest; the settings are too few to foresee one from the others, so its error elsewhere is not known`,
    };
  }
  const told = [chosen, ...others];
  const errors = errorTexts(
    told.map(({ leftOutError }) => leftOutError!),
    chosen.errorUnit,
  );
  const figures = told.map(({ form }, k) => `${formTitle(form)} ${errors[k]}`).join(", ");
  const why =
    others.length === 0
      ? `${title}: the only form the coupons support`
      : chosen === best
        ? `${title}: ${simplest(chosen, others) ? "simplest, and foresees left-out settings best" : "foresees left-out settings better than every simpler form, by more than one standard error"}`
        : `${title}: the simplest whose errors at left-out settings lie within one standard error of the best`;
  const refused = forms.filter((form) => form.leftOutError! < chosen.leftOutError!);
  const notes = [
    ...(refused.some((form) => isScatter(form, standing))
      ? ["; the departure of the Gaussian process is no more than scatter allows, by AIC"]
      : []),
    ...refused
      .filter((form) => isUnsupported(form, standing))
      .map((form) => `; the ${formTitle(form.form)} has too many coefficients for these coupons, by AICc`),
  ];
  return { chosen, explanation: `${why} (error at left-out settings: ${figures}${notes.join("")})` };
}

/** Whether a form foresees left-out settings better than the simpler ones that stand, and is more than scatter. */
function stands(form: FreeForm, simpler: readonly FreeForm[]): boolean {
  if (form.leftOutError === undefined) return simpler.length === 0;
  return (
    simpler.every((other) => form.leftOutError! < other.leftOutError!) &&
    !isScatter(form, simpler) &&
    !isUnsupported(form, simpler)
  );
}

/** A departure that AIC does not find worth its length scales and variance, against a form without one. */
function isScatter(form: FreeForm, others: readonly FreeForm[]): boolean {
  return form.form === "gaussian-process" && others.some((other) => other !== form && other.aic! <= form.aic);
}

/** A form whose coefficients are so many for its coupons that AICc gives it no support against another. */
function isUnsupported(form: FreeForm, others: readonly FreeForm[]): boolean {
  if (form.form === "gaussian-process" || form.aicc === undefined) return false;
  const { aicc } = form;
  return others.some((other) => other.aicc !== undefined && aicc - other.aicc > UNSUPPORTED);
}

const simplest = (form: FreeForm, others: readonly FreeForm[]): boolean =>
  others.every((other) => bySimplicity(form, other) < 0);

/**
 * Width and height together or each by itself: together, which conserves the wire with fewer coefficients, unless the
 * free forms foresee left-out settings better by more than one standard error.
 */
export function chooseJoint(
  joint: ConstrainedFit,
  free: { readonly width: FreeForm; readonly height: FreeForm },
): Choice<"free" | "constrained"> {
  const differences = [
    ...scaledDifferences(free.width, joint.width),
    ...scaledDifferences(free.height, joint.height),
  ];
  const { middle: gain, standardError } =
    differences.length < 2 ? { middle: 0, standardError: 0 } : paired(differences);
  const figures = (["width", "height"] as const)
    .map((size) => {
      const own = free[size];
      const [together, alone] = compared(joint[size], own);
      return `${own.response} ${together} constrained, ${alone} ${formTitle(own.form)}`;
    })
    .join("; ");
  const saved = free.width.parameters + free.height.parameters - joint.width.parameters;
  const spared = saved > 0 ? ` with ${counted(saved, "coefficient")} fewer` : "";
  const criterion = aiccText(joint, free);
  return gain < -standardError
    ? {
        chosen: "free",
        explanation: `free forms foresee left-out settings better than the constrained one by more than one standard error (${figures}${criterion}): fullness may change over the window`,
      }
    : {
        chosen: "constrained",
        explanation: `the constrained form, which conserves the wire${spared}, foresees left-out settings ${gain > standardError ? "better" : "as well"} (error at left-out settings of ${figures}${criterion})`,
      };
}

/** Errors of two forms of one response as a sentence compares them. */
function compared(...forms: readonly FormQuality[]): readonly string[] {
  const known = forms.flatMap(({ leftOutError }) => leftOutError ?? []);
  const texts = errorTexts(known, forms[0]!.errorUnit);
  return forms.map(({ leftOutError }) =>
    leftOutError === undefined ? "unknown" : texts[known.indexOf(leftOutError)]!,
  );
}

/** The criteria side by side, where both rest on the same coupons. */
function aiccText(joint: ConstrainedFit, { width, height }: Parameters<typeof chooseJoint>[1]): string {
  if (joint.aicc === undefined || width.aicc === undefined || height.aicc === undefined) return "";
  if (width.n !== joint.n || height.n !== joint.n) return "";
  return `; AICc ${fixed(joint.aicc, 1)} together, ${fixed(width.aicc + height.aicc, 1)} free`;
}

/** Squared errors of the free form less those of the joint one, per setting that both foresee, in units of their mean. */
function scaledDifferences(free: FormQuality, joint: FormQuality): readonly number[] {
  const known = new Set(joint.coupons.map(({ coupon }) => coupon));
  const shared = { ...free, coupons: free.coupons.filter(({ coupon }) => known.has(coupon)) };
  // Settings are numbered per form: a coupon of each tells which is which.
  const ofCoupon = new Map(joint.coupons.map(({ coupon, setting }) => [coupon, setting]));
  const ofSetting = new Map(shared.coupons.map(({ coupon, setting }) => [setting, ofCoupon.get(coupon)!]));
  const others = squaresBySetting(joint);
  const pairs = [...squaresBySetting(shared)].flatMap(([setting, square]) => {
    const twin = others.get(ofSetting.get(setting)!);
    return twin === undefined ? [] : [[square, twin] as const];
  });
  if (pairs.length === 0) return [];
  const scale = mean(pairs.map(([a, b]) => (a + b) / 2));
  return pairs.map(([a, b]) => (a - b) / scale);
}
