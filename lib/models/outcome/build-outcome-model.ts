import { type KnownSetting, readKnownSetting, type StudyDefinition } from "../../study/definition/index.js";
import type { StudyData } from "../../study/record/index.js";
import { resolvePriors } from "../priors/index.js";
import { memoryFindings, requireKnown } from "./known-settings.js";
import { misremembered } from "./misremembered.js";
import { fitOutcomeModel, type OutcomeModel, type OutcomeModelOptions } from "./outcome-model.js";
import { rememberedCoupons } from "./remembered.js";
import type { SeenCoupon } from "./seen-coupon.js";

/** Posterior draws of what the study says without the settings known: only means are taken of them. */
const FEW_DRAWS = 16;

/**
 * Fits what measured responses and pass/fail checks do over the settings of a study. It answers from the
 * first coupon on, and from none: width from an energy balance, height from conservation of mass, failures
 * from thresholds of physical quantities, all known only roughly until coupons say more. Settings that ran before,
 * of study.json and of the options, count from the start.
 *
 * A coupon that was logged without any dimension although the study measures some counts as failed.
 * It misleads when coupons were chosen for their outcome, or when a factor left out of the study moved.
 *
 * @param coupons - as the study holds them; those not logged are left out
 * @throws {BeadbenchError} `bad-argument` for an option outside its bounds or a prior that is not known, `bad-study` for
 *   priors of study.json that cannot be used
 */
export function buildOutcomeModel(
  data: StudyData,
  { known = [], ...options }: OutcomeModelOptions = {},
): OutcomeModel {
  const { definition } = data;
  const told = [...toldByStudy(definition), ...known.map((one, i) => requireKnown(definition, one, i))];
  if (told.length === 0) return fitOutcomeModel(data, options);
  const without = fitOutcomeModel(data, { ...options, draws: FEW_DRAWS });
  const { values: priors } = resolvePriors(data, options.priors);
  const remembered = rememberedCoupons(told, { model: without, priors, block: without.blocks });
  const first = fitOutcomeModel(data, options, remembered);
  const doubted = doubtedByVerdicts(remembered, first);
  const model = doubted === remembered ? first : fitOutcomeModel(data, options, doubted);
  return {
    ...model,
    findings: [...model.findings, ...memoryFindings(definition, told, model.misremembered)],
  };
}

/** What study.json tells; what speaks of responses that a narrowed study lacks is left out. */
const toldByStudy = (definition: StudyDefinition): readonly KnownSetting[] =>
  (definition.known ?? []).flatMap((said) => {
    const read = readKnownSetting(definition, said);
    return typeof read === "string" ? [] : [read];
  });

/** Chance of a wrong memory from which its sizes are looked at anew. */
const CONTRADICTED = 0.4;

/**
 * Remembered runs whose verdicts the coupons contradict: their sizes are believed less too, for a run that is remembered
 * wrongly was not within specification either.
 */
function doubtedByVerdicts(
  remembered: readonly SeenCoupon[],
  { checks, coordinates, misremembered: known }: OutcomeModel,
): readonly SeenCoupon[] {
  if (known.every((wrong) => wrong < CONTRADICTED)) return remembered;
  const before = remembered.map(({ memory }) => memory!.wrong);
  const wrong = misremembered({ remembered, before, checks, coordinates });
  return remembered.map((coupon, i) => ({ ...coupon, memory: { ...coupon.memory!, wrong: wrong[i]! } }));
}
