import type { OutcomeModel, StudyCheck, StudyFit } from "../models/index.js";
import type { Preset } from "../presets/index.js";
import type { Study } from "../study/index.js";
import type { LearningCurve, ProcessWindow } from "../window/index.js";

/** Everything a report of a study shows; parts that could not be computed are absent. */
export interface StudyResults {
  readonly study: Study;
  readonly check: StudyCheck;
  readonly fit?: StudyFit;
  readonly model?: OutcomeModel;
  readonly window?: ProcessWindow;
  readonly preset?: Preset;
  readonly learning?: LearningCurve;
  /** Ids of coupons left out of fit, model and window because this was asked for. */
  readonly without?: readonly string[];
  /** Why parts are absent. */
  readonly remarks: readonly string[];
}
