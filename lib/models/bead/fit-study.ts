import { BeadbenchError, type Finding } from "../../errors/index.js";
import { fixed, significant } from "../../numeric/index.js";
import { measuredOf, type StudyData } from "../../study/index.js";
import { fittedBy, type LayerSelection, type LayerSet, selectLayers } from "../physical/index.js";
import { shiftFindings, shiftsUnseen } from "./block-shifts.js";
import { attempt, type Candidate, candidateOf } from "./candidate.js";
import { chooseFree, chooseJoint } from "./choose-form.js";
import { type ConstrainedPair, constrainedPairs, missingPartner } from "./constrained-data.js";
import { type ConstrainedFit, fitConstrained } from "./constrained-fit.js";
import { fitResponse, type TriedForms } from "./fit-response.js";
import { type BeadFitOptions, DEFAULT_LEVEL, type FormName, type FormQuality } from "./form.js";
import { fitGrades, type GradeFit } from "./grade-fit.js";
import { withMeasuredFullness } from "./measured-fullness.js";
import type { FreeForm } from "./predict-form.js";
import { usableCoupons } from "./response-data.js";
import type { ScaleName } from "./response-scale.js";

/** What was tried on one response, and what was chosen. */
export interface ResponseFit {
  readonly response: string;
  readonly unit: string;
  readonly scale: ScaleName;
  readonly chosen: FormName;
  /** Why, with the numbers. */
  readonly explanation: string;
  /** Every form, fitted or not, with its figures or the reason. */
  readonly candidates: readonly Candidate[];
  /** The forms fitted to this response by itself. */
  readonly forms: readonly FreeForm[];
}

/** Models of all measured responses of a study. Plain data. */
export interface StudyFit {
  /** Where in a build the fitted coupons were measured. */
  readonly layers: LayerSet;
  /** Logged coupons of the other layers, not used. */
  readonly aside: readonly string[];
  readonly responses: readonly ResponseFit[];
  /** Width and height fitted together, where the study measures both. */
  readonly constrained: readonly ConstrainedFit[];
  /** Ordered logits of graded responses; absent where no response is graded. */
  readonly graded?: readonly GradeFit[];
  /** Coupons left out at the user's wish. */
  readonly without: readonly string[];
  readonly findings: readonly Finding[];
}

/** Options of {@link fitStudy}. */
export interface StudyFitOptions extends BeadFitOptions {
  /** Which coupons: those on the first layers or on the wall above. Default: the set with more coupons. */
  readonly layers?: LayerSet;
}

/**
 * Fits every measured response (and the fullness, where a section's area was measured) in all forms that suit it,
 * and chooses by the error at left-out settings: the simplest form within one standard error of the best; for a
 * width and height that mass balance ties, the constrained form unless free ones are better by more than
 * that. First layers and walls are never fitted together.
 *
 * Graded responses get an ordered logit. A response that cannot be fitted is said in the findings; the others are still answered.
 *
 * @throws {BeadbenchError} `not-enough-data` when no response can be fitted; `bad-argument` for an unknown coupon in `without`
 */
export function fitStudy({ definition, coupons }: StudyData, options: StudyFitOptions = {}): StudyFit {
  const without = options.without ?? [];
  const unknown = without.filter((id) => !coupons.some((coupon) => coupon.id === id));
  if (unknown.length > 0) {
    throw new BeadbenchError("bad-argument", `no coupon called ${unknown.join(", ")} in this study`);
  }
  const selection = selectLayers({ coupons }, options.layers);
  const usable = usableCoupons(withMeasuredFullness({ definition, coupons: selection.coupons }), without);
  const failures: Finding[] = [];
  const names = new Set([
    ...fittedBy(definition, "forms").map(({ name }) => name),
    ...usable.flatMap((coupon) => (measuredOf(coupon, "fullness") === undefined ? [] : ["fullness"])),
  ]);
  const fitted = <T>(work: () => T): readonly T[] => {
    const result = attempt("power-law", work);
    if ("fit" in result) return [result.fit];
    failures.push({ code: "not-fitted", severity: "warning", message: result.failed.reason! });
    return [];
  };
  const responses = [...names].flatMap((response) =>
    fitted(() => fitResponse({ definition, coupons: usable }, response, options)),
  );
  const graded = fittedBy(definition, "ordinal").flatMap(({ name }) =>
    fitted(() => fitGrades({ definition, coupons: usable }, name, options.level)),
  );
  const pairs = constrainedPairs({ definition, coupons: usable }).map((pair) => ({
    pair,
    result: attempt("constrained", () => fitConstrained({ definition, coupons: usable }, pair, options)),
  }));
  const constrained = pairs.flatMap(({ result }) => ("fit" in result ? [result.fit] : []));
  if (responses.length === 0 && constrained.length === 0 && graded.length === 0) {
    throw new BeadbenchError("not-enough-data", nothingFitted(selection, failures));
  }
  const chosen = chooseAll(responses, pairs);
  return {
    layers: selection.layers,
    aside: selection.aside,
    responses: chosen,
    constrained,
    ...(graded.length === 0 ? {} : { graded }),
    without,
    findings: saidOnce([
      ...failures,
      ...leftOutFindings(without),
      ...selection.findings,
      ...responses.flatMap(({ findings }) => findings),
      ...chosen.flatMap((response) => chosenFindings(response, responses, constrained)),
      ...constrained.flatMap(({ findings }) => findings),
      ...graded.flatMap(({ findings }) => findings),
    ]),
  };
}

/** Several responses may have the same to say. */
function saidOnce(findings: readonly Finding[]): readonly Finding[] {
  const first = new Map(findings.map(({ message }, i) => [message, i] as const).reverse());
  return findings.filter(({ message }, i) => first.get(message) === i);
}

type TriedPair = {
  readonly pair: ConstrainedPair;
  readonly result: { readonly fit: ConstrainedFit } | { readonly failed: Candidate };
};

/** The chosen form of each response, in the order of the responses; a pair that only fits together comes last. */
function chooseAll(responses: readonly TriedForms[], pairs: readonly TriedPair[]): readonly ResponseFit[] {
  const free = new Map(responses.map((tried) => [tried.response, chooseFree(tried.forms)]));
  const fits = responses.map(({ findings: _, blocks: __, ...tried }): ResponseFit => {
    const { chosen, explanation } = free.get(tried.response)!;
    const alone = missingPartner(
      pairs.map(({ pair }) => pair),
      tried.response,
      tried.unit,
    );
    const candidates: readonly Candidate[] =
      alone === undefined ? tried.candidates : [...tried.candidates, { form: "constrained", reason: alone }];
    return { ...tried, candidates, chosen: chosen.form, explanation };
  });
  return pairs.reduce(
    (list, { pair, result }) => {
      const sizes = ["width", "height"] as const;
      if ("failed" in result) {
        const names = sizes.map((size) => pair[size].response);
        return list.map((fit) =>
          names.includes(fit.response) ? { ...fit, candidates: [...fit.candidates, result.failed] } : fit,
        );
      }
      const joint = result.fit;
      const width = free.get(pair.width.response);
      const height = free.get(pair.height.response);
      const choice =
        width === undefined || height === undefined
          ? {
              chosen: "constrained" as const,
              explanation: "width and height could only be fitted together, by mass balance",
            }
          : chooseJoint(joint, { width: width.chosen, height: height.chosen });
      return sizes.reduce((all, size) => withJoint(all, joint[size], choice), list);
    },
    fits as readonly ResponseFit[],
  );
}

/** Enters the joint form and the choice about it into the fit of one response. */
function withJoint(
  fits: readonly ResponseFit[],
  quality: FormQuality,
  choice: ReturnType<typeof chooseJoint>,
): readonly ResponseFit[] {
  const { response, unit, scale } = quality;
  const own = fits.find((fit) => fit.response === response);
  const candidates = [candidateOf(quality), ...(own?.candidates ?? [])];
  const entered: ResponseFit =
    choice.chosen === "free" && own !== undefined
      ? { ...own, candidates, explanation: `${own.explanation}; ${choice.explanation}` }
      : {
          response,
          unit,
          scale,
          chosen: "constrained",
          explanation: choice.explanation,
          candidates,
          forms: own?.forms ?? [],
        };
  return own === undefined ? [...fits, entered] : fits.map((fit) => (fit === own ? entered : fit));
}

function nothingFitted({ layers, coupons, aside }: LayerSelection, failures: readonly Finding[]): string {
  if (!coupons.some(({ state }) => state === "logged") && aside.length > 0) {
    return `no coupon was logged on ${layers === "wall" ? "a wall" : "first layers"}; ${aside.length} were on other layers`;
  }
  if (failures.length === 0) return "nothing can be fitted: this study has no response in numbers or grades";
  return `nothing can be fitted yet:\n${failures.map(({ message }) => `  ${message}`).join("\n")}`;
}

/** What the chosen form says of itself, beyond what the values already said. */
function chosenFindings(
  { response, chosen, forms }: ResponseFit,
  tried: readonly TriedForms[],
  constrained: readonly ConstrainedFit[],
): readonly Finding[] {
  const form = forms.find((candidate) => candidate.form === chosen);
  if (form === undefined) {
    const joint = constrained
      .flatMap(({ width, height }) => [width, height])
      .find((size) => size.response === response);
    return shiftFindings(response, joint?.shift, "1", joint?.level ?? DEFAULT_LEVEL);
  }
  const { findings: known = [], blocks } = tried.find((candidate) => candidate.response === response) ?? {};
  return [
    ...form.findings.filter((finding) => !known.includes(finding)),
    ...shiftFindings(response, form.shift, form.errorUnit, form.level),
    ...shiftsUnseen(blocks, form.shift !== undefined),
    ...lackOfFitFindings(form),
  ];
}

function lackOfFitFindings(form: FreeForm): readonly Finding[] {
  if (form.form === "gaussian-process") return [];
  const { response, lackOfFit } = form;
  if (lackOfFit === undefined || lackOfFit.p >= 0.05) return [];
  return [
    {
      code: "lack-of-fit",
      severity: "warning",
      message: `${response}: the chosen form misses the means of repeated settings by more than their scatter explains (F = ${fixed(lackOfFit.f, 2)}, p = ${significant(lackOfFit.p, 2)})`,
      advice:
        "the response acts otherwise than the form can, or something drifted between sessions; look at the residuals by session and narrow the window",
      about: [response],
    },
  ];
}

function leftOutFindings(without: readonly string[]): readonly Finding[] {
  if (without.length === 0) return [];
  return [
    {
      code: "left-out",
      severity: "info",
      message: `left out at your wish: ${without.join(", ")}`,
      about: without,
    },
  ];
}
