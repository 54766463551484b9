import { BeadbenchError, type Finding } from "../../errors/index.js";
import {
  type Coupon,
  type DefinedStudy,
  measuredOf,
  requireCoupons,
  type StudyData,
} from "../../study/index.js";
import { fittedBy, type LayerSelection, type LayerSet, selectLayers } from "../physical/index.js";
import { resolvePriors } from "../priors/index.js";
import { absurdity } from "../settings/index.js";
import { tryForm } from "./candidate.js";
import { type ChosenForm, chooseAll } from "./choose-all.js";
import { constrainedPairs } from "./constrained-data.js";
import { type ConstrainedFit, fitConstrained } from "./constrained-fit.js";
import { chosenFindings } from "./fit-findings.js";
import { fitResponse } from "./fit-response.js";
import { chooseForecast, type Forecast } from "./forecast.js";
import { type BeadFitOptions, DEFAULT_LEVEL } from "./form.js";
import { fitGrades, type GradeFit } from "./grade-fit.js";
import { withMeasuredFullness } from "./measured-fullness.js";
import { type ResponseData, usableCoupons } from "./response-data.js";
import { fitTogether } from "./together.js";

/** What was tried on one response, what was chosen, and what its predictions rest on. */
export interface ResponseFit extends ChosenForm, Forecast {}

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

/** Which coupons {@link fitStudy} takes, and the level of its intervals (a share, such as 0.95). */
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
 * @throws {BeadbenchError} `not-enough-data` when no response can be fitted; `bad-argument` for an unknown coupon in `without`;
 *   `bad-study` for priors of study.json that are none or cannot be
 */
export function fitStudy({ definition, coupons }: StudyData, options: StudyFitOptions = {}): StudyFit {
  // A misspelt prior would be ignored, and the usual one believed.
  resolvePriors({ definition });
  const without = options.without ?? [];
  const level = options.level ?? DEFAULT_LEVEL;
  requireCoupons({ coupons }, without);
  const selection = selectLayers({ coupons }, options.layers);
  const wanted = usableCoupons(withMeasuredFullness({ definition, coupons: selection.coupons }), without);
  const { usable, refused } = runnableCoupons({ definition, coupons: wanted });
  const failures: Finding[] = [];
  const names = new Set([
    ...fittedBy(definition, "forms").map(({ name }) => name),
    ...usable.flatMap((coupon) => (measuredOf(coupon, "fullness") === undefined ? [] : ["fullness"])),
  ]);
  const fitted = <T>(work: () => T): readonly T[] => {
    const result = tryForm("power-law", work);
    if ("fit" in result) return [result.fit];
    failures.push({ code: "not-fitted", severity: "warning", message: result.failed.reason! });
    return [];
  };
  const responses = [...names].flatMap((response) =>
    fitted(() => fitResponse({ definition, coupons: usable }, response, options)),
  );
  const graded = fittedBy(definition, "ordinal").flatMap(({ name }) =>
    fitted(() => fitGrades({ definition, coupons: usable }, name, level)),
  );
  const pairs = constrainedPairs({ definition, coupons: usable }).map((pair) => ({
    pair,
    result: tryForm("constrained", () => fitConstrained({ definition, coupons: usable }, pair, options)),
  }));
  const constrained = pairs.flatMap(({ result }) => ("fit" in result ? [result.fit] : []));
  if (responses.length === 0 && constrained.length === 0 && graded.length === 0) {
    throw new BeadbenchError("not-enough-data", nothingFitted(selection, failures));
  }
  const chosen = chooseAll(responses, pairs).map((response): ResponseFit => {
    const data = responses.find((tried) => tried.response === response.response)?.data;
    return { ...response, ...forecastOf({ definition }, response, { data, constrained, level }) };
  });
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
      ...refused,
      ...selection.findings,
      ...responses.flatMap(({ data }) => data.findings),
      ...chosen.flatMap((response) => chosenFindings(response, responses, constrained)),
      ...chosen.flatMap(({ together }) => together?.findings ?? []),
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

function nothingFitted({ layers, coupons, aside }: LayerSelection, failures: readonly Finding[]): string {
  if (!coupons.some(({ state }) => state === "logged") && aside.length > 0) {
    return `no coupon was logged on ${layers === "wall" ? "a wall" : "first layers"}; ${aside.length} were on other layers`;
  }
  if (failures.length === 0) return "nothing can be fitted: this study has no response in numbers or grades";
  return `nothing can be fitted yet:\n${failures.map(({ message }) => `  ${message}`).join("\n")}`;
}

/** Coupons without those whose settings no rig runs: one mistyped feed would spoil every form, or take one from all. */
function runnableCoupons({ definition, coupons }: StudyData): {
  readonly usable: readonly Coupon[];
  readonly refused: readonly Finding[];
} {
  const refusals = coupons.flatMap((coupon) => {
    const message = absurdity({ definition }, coupon);
    return message === undefined ? [] : [{ coupon, message }];
  });
  return {
    usable: coupons.filter((coupon) => refusals.every((refusal) => refusal.coupon !== coupon)),
    refused: refusals.map(
      ({ coupon: { id }, message }): Finding => ({
        code: "setting-left-out",
        severity: "warning",
        message: `${id} is left out of the fit: ${message}`,
        advice: "look at the sheet and log a correction",
        about: [id],
      }),
    ),
  };
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

/** All forms together against the chosen one, where the response was fitted by itself. */
function forecastOf(
  study: DefinedStudy,
  response: ChosenForm,
  {
    data,
    constrained,
    level,
  }: {
    readonly data: ResponseData | undefined;
    readonly constrained: readonly ConstrainedFit[];
    readonly level: number;
  },
): Forecast {
  const joint = constrained
    .flatMap(({ width, height }) => [width, height])
    .filter((size) => size.response === response.response);
  const chosen = [...response.forms, ...joint].find(({ form }) => form === response.chosen)!;
  const result =
    data &&
    tryForm("power-law", () => fitTogether({ study, data, forms: [...joint, ...response.forms], level }));
  return chooseForecast(chosen, result !== undefined && "fit" in result ? result.fit : undefined);
}
