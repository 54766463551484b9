import { type Finding, onlyDefined } from "../../errors/index.js";
import { inWords, sentence } from "../../numeric/index.js";
import { measuredOf, type StudyData } from "../../study/index.js";
import {
  chosenQuality,
  couponQuality,
  errorTexts,
  errsClearlyLess,
  foreseeingTogether,
  type ResponseData,
  type ResponseFit,
  responseData,
  type StudyFit,
} from "../bead/index.js";
import {
  buildOutcomeModel,
  fromLinkScale,
  makePredictor,
  type OutcomeModelOptions,
  studyCoordinates,
  unplaced,
} from "../outcome/index.js";
import { dimensionsOf } from "../physical/index.js";

/** How the two models of a measured response foresee the same left-out settings. Plain data. */
export interface ModelComparison {
  readonly response: string;
  /** Unit of both errors: 1 where they are relative to the value. */
  readonly errorUnit: string;
  /** Root mean square error of the outcome model, behind window and preset. */
  readonly outcome: number;
  /** Of what `fit` predicts by: all forms together, or the chosen one. */
  readonly forms: number;
  /** Which errs less by more than two standard errors of the difference; absent where luck may have decided. */
  readonly better?: "outcome" | "forms";
}

/** What one outcome model says of a response at settings, in the response's unit. */
type Foresee = (response: string, settings: ResponseData["settings"][number]) => number | undefined;

/**
 * Holds the outcome model against the forms of a fit at settings that neither has seen: leaves out what the forms left
 * out, fits the outcome model again without it, and compares the errors.
 *
 * @param coupons - those that the fit rests on
 * @param options - as the outcome model was built with
 */
export function compareModels(
  { definition, coupons }: StudyData,
  fit: StudyFit,
  options: OutcomeModelOptions = {},
): readonly ModelComparison[] {
  const dimensions = dimensionsOf(definition);
  const axes = studyCoordinates(definition);
  const shown = coupons.filter(
    (coupon) =>
      unplaced(axes, coupon.settings).length === 0 &&
      !fit.without.includes(coupon.id) &&
      dimensions.some(({ name }) => measuredOf(coupon, name) !== undefined),
  );
  // Verdicts do not move the dimensions; what is known from before no form of a fit has seen either.
  const measured = { ...definition, responses: dimensions, known: [] };
  const known = new Map<string, Foresee>();
  const withoutCoupons = (gone: ReadonlySet<string>): Foresee => {
    const key = [...gone].sort().join();
    if (!known.has(key)) {
      const rest = shown.filter(({ id }) => !gone.has(id));
      const model = buildOutcomeModel(
        { definition: measured, coupons: rest },
        { ...options, known: [], draws: 1 },
      );
      const predictor = makePredictor(model);
      const means = new Float64Array(predictor.responses);
      known.set(key, (response, settings) => {
        const r = model.latent.links.findIndex((link) => link.response === response);
        if (r < 0) return undefined;
        predictor.at(predictor.point(settings)).means(means);
        return fromLinkScale(model.latent.links[r]!, means[r]!);
      });
    }
    return known.get(key)!;
  };
  return fit.responses
    .filter(({ response }) => dimensions.some(({ name }) => name === response))
    .flatMap((own) => compared(own, { data: { definition, coupons: shown }, fit, withoutCoupons }));
}

function compared(
  own: ResponseFit,
  {
    data: study,
    fit,
    withoutCoupons,
  }: {
    readonly data: StudyData;
    readonly fit: StudyFit;
    readonly withoutCoupons: (gone: ReadonlySet<string>) => Foresee;
  },
): readonly ModelComparison[] {
  const { response } = own;
  const forms = foreseeingTogether(own) ?? chosenQuality(fit, response);
  const { leftOutError } = forms;
  const measured = study.coupons.filter((coupon) => measuredOf(coupon, response) !== undefined);
  // The outcome model may lack coupons that have no setting of some factor, and with them all that is to compare.
  if (measured.length < forms.coupons.length) return [];
  const data = responseData(study, response);
  // A pair fitted together may rest on fewer coupons.
  if (leftOutError === undefined || forms.coupons.length !== data.coupons.length) return [];
  const leftOut = new Array<number | undefined>(data.y.length).fill(undefined);
  for (const { rows, without } of data.folds) {
    const foresee = withoutCoupons(new Set(without.map((i) => data.coupons[i]!)));
    for (const i of rows) leftOut[i] = foresee(response, data.settings[i]!);
  }
  const outcome = couponQuality(data, data.y, leftOut);
  if (outcome.leftOutError === undefined) return [];
  const better = errsClearlyLess(outcome, forms)
    ? "outcome"
    : errsClearlyLess(forms, outcome)
      ? "forms"
      : undefined;
  return [
    {
      response,
      errorUnit: outcome.errorUnit,
      outcome: outcome.leftOutError,
      forms: leftOutError,
      ...onlyDefined({ better }),
    },
  ];
}

/** Says what a preset rests on, and why, with both errors. */
export function agreementFindings(comparisons: readonly ModelComparison[]): readonly Finding[] {
  return comparisons.map(({ response, errorUnit, outcome, forms, better }): Finding => {
    const [ofOutcome, ofForms] = errorTexts([outcome, forms], errorUnit);
    const said = `${sentence(inWords(response))}: the preset rests on the outcome model, which errs ${ofOutcome} at left-out settings, the forms of fit ${ofForms}`;
    const whole = "it alone weighs all results and failures at once";
    if (better === "forms") {
      return {
        code: "forms-foresee-better",
        severity: "warning",
        message: `${said}, clearly less; it is used all the same because ${whole}`,
        advice:
          "hold the preset against the prediction of `fit` there, and run coupons at it before trusting it",
      };
    }
    return {
      code: "preset-rests-on",
      severity: "info",
      message: `${said}; ${better === "outcome" ? "it foresees clearly better" : "no clear difference"}, and ${whole}`,
    };
  });
}
