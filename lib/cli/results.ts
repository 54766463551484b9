import { BeadbenchError, onlyDefined } from "../errors/index.js";
import { checkStudy, fitStudy } from "../models/index.js";
import { makePreset } from "../presets/index.js";
import type { StudyResults } from "../report/index.js";
import type { Study } from "../study/index.js";
import { findWindow, learningCurve, recommendationFrom } from "../window/index.js";
import type { CommandIo } from "./io.js";
import { modelFrom, type OutcomeOptions, outcomeBasis, warnOfRefusals, withAgreement } from "./outcome.js";

/** Coupons below which a learning curve tells nothing. */
const FEWEST_TO_LEARN = 4;

/** Everything a report shows; what the coupons do not support yet is left out and remarked. */
export function studyResults(
  io: CommandIo,
  study: Study,
  options: OutcomeOptions & { readonly level?: number } = {},
): StudyResults {
  const remarks: string[] = [];
  const tried = <T>(work: () => T): T | undefined => {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof BeadbenchError)) throw error;
      remarks.push(error.message);
      return undefined;
    }
  };
  const { level, without, layers } = options;
  io.doing?.("checking and fitting");
  const check = checkStudy(study);
  const fit = tried(() => fitStudy(study, onlyDefined({ without, layers })));
  warnOfRefusals(
    io,
    check.findings.filter(({ severity }) => severity === "error"),
  );
  const basis = outcomeBasis(io, study, options);
  const model = modelFrom(basis);
  io.doing?.("searching the window");
  const window = tried(() => findWindow(model, onlyDefined({ level })));
  const preset =
    window === undefined
      ? undefined
      : makePreset(study, withAgreement(basis, recommendationFrom(model, window), fit), io.clock());
  io.doing?.("looking back at what the coupons taught");
  const learning =
    window === undefined || basis.coupons.length < FEWEST_TO_LEARN
      ? undefined
      : tried(() => learningCurve(study, { ...basis.choices, ...onlyDefined({ without, layers }) }));
  return {
    study,
    check,
    model,
    ...onlyDefined({ fit, window, preset, learning, without }),
    remarks,
  };
}

/** The results as data: without the study and the model's innards, which other commands give. */
export function resultsData({
  study: _,
  model: __,
  ...results
}: StudyResults): Omit<StudyResults, "study" | "model"> {
  return results;
}
