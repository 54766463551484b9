import { BeadbenchError } from "../../errors/index.js";
import type { StudyData } from "../../study/index.js";
import { detailOf, type FormCandidate, formCandidate, tryForm } from "./candidate.js";
import { type BeadFitOptions, DEFAULT_LEVEL } from "./form.js";
import { fitAsBase, fitForm } from "./form-model.js";
import { type FormName, isBase, regressionsFor } from "./form-rules.js";
import { withPowerLawRows } from "./power-law-data.js";
import type { FreeForm } from "./predict-form.js";
import { fitResidualProcess } from "./residual-process.js";
import { type ResponseData, responseData } from "./response-data.js";
import type { ScaleName } from "./response-scale.js";

/** All forms tried on one response, each by itself. */
export interface TriedForms {
  readonly response: string;
  readonly unit: string;
  readonly scale: ScaleName;
  readonly forms: readonly FreeForm[];
  readonly candidates: readonly FormCandidate[];
  /** What the forms were fitted to, with what its values give reason to say. */
  readonly data: ResponseData;
}

/**
 * Fits every free form that suits a response: power law and energy balance (a linear surface in place of both where
 * values or settings of 0 or below have no power), quadratic surface, and a Gaussian process on the better of the
 * simple ones.
 *
 * @throws {BeadbenchError} `not-enough-data` when none can be fitted, with the reason of the simplest
 */
export function fitResponse(
  { definition, coupons }: StudyData,
  response: string,
  options: BeadFitOptions,
): TriedForms {
  const level = options.level ?? DEFAULT_LEVEL;
  const data = responseData({ definition, coupons }, response, options);
  const candidates: FormCandidate[] = [];
  // Inside the table of one response its name would only repeat.
  const about = (failed: FormCandidate): FormCandidate => ({
    ...failed,
    reason: failed.reason!.replace(`${response}: `, ""),
  });
  const forms: FreeForm[] = [];
  const tried = <F extends FreeForm>(name: FormName, fit: () => F): F | undefined => {
    const result = tryForm(name, fit);
    if ("failed" in result) {
      candidates.push(about(result.failed));
      return undefined;
    }
    forms.push(result.fit);
    candidates.push(formCandidate(result.fit, detailOf(result.fit)));
    return result.fit;
  };
  const powers = tryForm("power-law", () => withPowerLawRows(definition, data));
  if ("failed" in powers) candidates.push(about(powers.failed));
  const work = { definition, data, level };
  const regressions = regressionsFor("fit" in powers).flatMap(
    (name) => tried(name, () => fitForm(name, work)) ?? [],
  );
  const [base] = regressions
    .filter(({ form }) => isBase(form))
    .map((form) => fitAsBase(form, work))
    .sort((a, b) => (a.leftOutError ?? 0) - (b.leftOutError ?? 0));
  if (base !== undefined)
    tried("gaussian-process", () => fitResidualProcess({ definition }, { data, base, level }));
  if (forms.length === 0) {
    const said = candidates.find(({ form }) => form === "power-law" || form === "linear");
    throw new BeadbenchError("not-enough-data", `${response}: ${said?.reason ?? "no form can be fitted"}`);
  }
  return { response, unit: data.unit, scale: data.scale, forms, candidates, data };
}
